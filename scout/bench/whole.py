"""Start-up, one assessment, one packet: the first figures, each beside a floor that any machine can
measure.
"""

from __future__ import annotations

import io
import json
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import numpy as np
from reportlab.lib.pagesizes import A4
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from scout import places
from scout.assess.room import assess_room
from scout.bench.measure import Row, at_most
from scout.pages.printing import PRINTER
from scout.records import RoomSheet, SheetLocation, read_sheet
from scout.settings import Settings
from scout.usecases import photos
from scout.usecases.demo import load_demo
from scout.usecases.packets import print_packet
from scout.usecases.work import open_work, prepare


def rows() -> Iterator[Row]:
    """The figures, each as soon as it is known."""
    yield start_up()
    yield assessment()
    yield packet()


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


def packet() -> Row:
    """The demonstration's packet, fonts and picture copies warm, against bare pages with the same
    pictures set as they are.
    """
    with tempfile.TemporaryDirectory(prefix="sillbook-bench-") as folder:
        settings = Settings(data_dir=Path(folder))
        prepare(settings)
        with open_work(settings) as work:
            _email, _password, production_id = load_demo(work, places.DEMO_DATA)
        pages: list[int] = []

        def whole() -> None:
            with open_work(settings) as work:
                pages.append(print_packet(work, production_id, PRINTER).pages)

        def bare() -> None:
            with open_work(settings, reading=True) as work:
                pictures = [
                    photos.copy_of(work.files, settings.cache_dir, digest, "print").read_bytes()
                    for digest in work.files.all()
                ]
            canvas = Canvas(io.BytesIO(), pagesize=A4)
            for number in range(pages[-1]):
                canvas.drawString(72, 72, f"page {number}")
                if number < len(pictures):
                    canvas.drawImage(ImageReader(io.BytesIO(pictures[number])), 72, 300, 300, 225)
                canvas.showPage()
            canvas.save()

        return at_most(
            "the demonstration's packet, warm",
            whole,
            "bare pages with the same pictures",
            bare,
            25.0,
            times=3,
        )
