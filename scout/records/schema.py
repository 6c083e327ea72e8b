"""The published JSON Schema of the room sheet, generated from the classes that validate it."""

from __future__ import annotations

from typing import Any

from scout.records.sheet import RoomSheet

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def room_sheet_schema() -> dict[str, Any]:
    """The schema, draft 2020-12. What spans several keys (a window on its wall) is beyond it and is
    judged by `read_sheet`.
    """
    schema = RoomSheet.model_json_schema(by_alias=True, mode="validation")
    return {
        "$schema": DIALECT,
        "title": "Room sheet, version 1",
        **{key: value for key, value in schema.items() if key != "title"},
    }
