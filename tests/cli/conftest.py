"""What tests of commands share."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from tests.cli.runner import Scout


@pytest.fixture
def scout(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> Scout:
    """`scout` with a data folder that is not there yet."""
    return Scout(tmp_path / "data", monkeypatch, capfd)


@pytest.fixture
def kept(scout: Scout, sqlite_template: Path) -> Scout:
    """`scout` with a data folder that holds an empty database."""
    scout.data.mkdir()
    shutil.copy(sqlite_template, scout.data / "sillbook.db")
    return scout


@pytest.fixture
def sheet() -> dict[str, Any]:
    """A small room sheet, invented."""
    return {
        "schema": "room-sheet/1",
        "location": {
            "name": "Mill",
            "latitude_deg": 52.2,
            "longitude_deg": 0.12,
            "timezone": "Europe/London",
        },
        "room": {
            "name": "Loft",
            "width_m": 4.0,
            "length_m": 5.0,
            "height_m": 2.5,
            "facing": {"wall": "A", "bearing_deg": 180.0, "north": "true"},
            "windows": [
                {
                    "id": "W1",
                    "wall": "A",
                    "offset_m": 1.0,
                    "sill_m": 0.9,
                    "width_m": 1.0,
                    "height_m": 1.0,
                }
            ],
        },
        "kit": {"lights": [{"id": "key", "watts": 300.0}]},
    }


@pytest.fixture
def sheet_file(tmp_path: Path, sheet: dict[str, Any]) -> str:
    """The sheet as a file."""
    path = tmp_path / "loft.json"
    path.write_text(json.dumps(sheet), encoding="utf-8")
    return str(path)
