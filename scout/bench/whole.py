"""Start-up and one assessment: the first figures, each beside a floor that any machine can measure."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from datetime import date

import numpy as np

from scout import places
from scout.assess.room import assess_room
from scout.bench.measure import Row, at_most
from scout.records import RoomSheet, SheetLocation, read_sheet


def rows() -> Iterator[Row]:
    """The figures, each as soon as it is known."""
    yield start_up()
    yield assessment()


def _python(*arguments: str) -> None:
    subprocess.run([sys.executable, *arguments], check=True, capture_output=True)  # noqa: S603


def start_up() -> Row:
    """The command line from nothing to its version, against an interpreter that only imports click."""

    def version() -> None:
        _python("-m", "scout", "--version")

    return at_most(
        "start-up: scout --version",
        version,
        "python -c 'import click'",
        lambda: _python("-c", "import click"),
        1.5,
        times=7,
    )


def demo_sheets() -> list[RoomSheet]:
    """The demonstration's rooms with the key, fill and back light of its production's kit: the
    goals are for three lights.
    """
    scenario = json.loads((places.DEMO_DATA / "scenario.json").read_text(encoding="utf-8"))
    kit = scenario["production"]["kit"]
    kit = {
        **kit,
        "lights": [light for light in kit["lights"] if light["id"] in ("key", "fill", "back")],
    }
    found = []
    for place in scenario["locations"]:
        location = {
            key: value
            for key, value in place["location"].items()
            if key in SheetLocation.model_fields
        }
        found += [
            read_sheet(
                {
                    "schema": "room-sheet/1",
                    "location": location,
                    "room": room["room"],
                    "marks": room.get("marks"),
                    "kit": kit,
                }
            )
            for room in place["rooms"]
        ]
    return found


def demo_sheet() -> RoomSheet:
    """The first of them."""
    return demo_sheets()[0]


def assessment() -> Row:
    """Everything for one room, warm, against one dense solve of the size its light needs (600
    patches, 36 wavelengths).
    """
    sheet = demo_sheet()
    random = np.random.default_rng(1)
    matrix, known = np.eye(600) * 600 + random.random((600, 600)), random.random((600, 36))

    def solve() -> None:
        for _ in range(10):
            np.linalg.solve(matrix, known)

    def whole() -> None:
        assess_room(sheet, date(2026, 6, 20))

    return at_most(
        "one room assessed, warm",
        whole,
        "ten dense solves, 600 x 600 with 36 right-hand sides",
        solve,
        8.0,
    )
