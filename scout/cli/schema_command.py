"""`scout schema`: the JSON Schema of the room sheet."""

from __future__ import annotations

import click

from scout.cli.common import print_json
from scout.records.schema import room_sheet_schema


@click.command(help="Print the JSON Schema (draft 2020-12) of the room sheet, version 1.")
def command() -> None:
    """Schema."""
    print_json(room_sheet_schema())
