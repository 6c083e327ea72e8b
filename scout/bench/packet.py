"""The packet: large photos against Pillow alone, many photos against few, the demonstration's pages
against bare ones, and printing again what did not change.
"""

from __future__ import annotations

import io
import json
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from PIL import Image
from reportlab.lib.pagesizes import A4
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas
from sqlalchemy import select

from scout import places
from scout.bench.measure import Row, at_most, seconds
from scout.bench.printed import Printed
from scout.packet.photos import PRINT_DPI
from scout.pages.packet.printing import PRINTER
from scout.records import (
    CandidateRecord,
    LocationRecord,
    Marks,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
)
from scout.settings import Settings
from scout.store import models
from scout.usecases import locations, photos, productions, rooms
from scout.usecases.demo import load_demo
from scout.usecases.packets import Heading, print_packet
from scout.usecases.revisions import Wanted
from scout.usecases.work import Work, open_work, prepare
from scout.values import said

PHOTO_PX = (4000, 3000)  # 12 megapixels
PRINTED_PX = (round(3.4 * PRINT_DPI), round(2.55 * PRINT_DPI))  # about a photo's frame
ROOMS, FEW, MANY = 12, 60, 400
SETUP_S = 1.0  # what a setup may take that nobody worked out yet
MOST_BYTES, MOST_MB = 10_000_000, 350
AGAIN_S = 2.0


def rows() -> Iterator[Row]:
    """The figures, each as soon as it is known."""
    with tempfile.TemporaryDirectory(prefix="sillbook-bench-") as folder:
        film = _film(Path(folder) / "few", FEW)
        few = _printed(film)
        yield from _large(film, few)
        yield from _many(few, _printed(_film(Path(folder) / "many", MANY)))
    yield from _demo()


def _film(folder: Path, count: int) -> Settings:
    """A production of twelve scenes, each in a room of its own, with so many photos of 12
    megapixels.
    """
    settings = Settings(data_dir=folder)
    prepare(settings)
    scenario = json.loads((places.DEMO_DATA / "scenario.json").read_text(encoding="utf-8"))
    known = [
        (place["location"], room) for place in scenario["locations"] for room in place["rooms"]
    ]
    with open_work(settings) as work:
        production = productions.add_production(work, ProductionRecord.read(scenario["production"]))
        keys = []
        for number in range(ROOMS):
            location, plain = known[number % len(known)]
            place = locations.add_location(work, LocationRecord.read(location))
            facts = {**plain["room"], "name": f"Room {number + 1}"}
            keys.append(rooms.add_room(work, place, RoomRecord.read(facts)))
            if "marks" in plain:
                rooms.save_marks(work, keys[-1], 1, Marks.read(plain["marks"]))
            scene = scenario["scenes"][number % len(scenario["scenes"])]["scene"]
            scene_id = productions.add_scene(
                work, production, SceneRecord.read({**scene, "name": f"Scene {number + 1}"})
            )
            productions.add_candidate(
                work, scene_id, keys[-1], CandidateRecord(state="first_choice")
            )
        _add_photos(work, keys, count)
    return settings


def _add_photos(work: Work, keys: list[int], count: int) -> None:
    """Photos spread over the rooms, each a file of its own with the same picture."""
    random = np.random.default_rng(3)
    small = Image.fromarray(random.integers(0, 255, (75, 100, 3), dtype=np.uint8))
    held = io.BytesIO()
    small.resize(PHOTO_PX, Image.Resampling.BICUBIC).save(held, "JPEG", quality=90)
    body = held.getvalue()
    first = photos.add_photo(work, "room", keys[0], io.BytesIO(body), "first.jpg")
    row = work.db.scalars(select(models.Photo).where(models.Photo.id == first.id)).one()
    told = ("id", "room_id", "sha256", "position")
    alike = {c.name: getattr(row, c.name) for c in row.__table__.columns if c.name not in told}
    for number in range(1, count):
        comment = f"photo {number}".encode()
        segment = b"\xff\xfe" + (len(comment) + 2).to_bytes(2, "big") + comment
        stored = work.files.put(
            io.BytesIO(body[:2] + segment + body[2:]), most_bytes=len(body) + 100
        )
        work.db.add(
            models.Photo(
                **alike,
                room_id=keys[number % len(keys)],
                sha256=stored.sha256,
                position=number,
            )
        )
    work.commit()


def _printed(settings: Settings) -> Printed:
    """The whole edition printed from nothing by a process of its own."""
    done = subprocess.run(
        [sys.executable, "-c", "from scout.bench.printed import child; child()"],
        env={"SILLBOOK_DATA": str(settings.data_dir), "PYTHONPATH": ":".join(sys.path)},
        check=True,
        capture_output=True,
        text=True,
    )
    return Printed(**json.loads(done.stdout))


def _large(settings: Settings, printed: Printed) -> Iterator[Row]:
    with open_work(settings, reading=True) as work:
        paths = [work.files.get(digest) for digest in work.files.all()]

    def floor() -> None:
        for path in paths:
            with Image.open(path) as photo:
                photo.draft("RGB", PRINTED_PX)
                photo.resize(PRINTED_PX, Image.Resampling.LANCZOS).save(
                    io.BytesIO(), "JPEG", quality=82
                )

    floor_s = seconds(floor)
    allowed = 1.5 * floor_s + SETUP_S * ROOMS
    name = f"{ROOMS} setups not worked out, {FEW} photos of 12 megapixels"
    yield _held(
        name,
        printed.seconds,
        "s",
        f"1.5 x Pillow alone on the photos ({floor_s:.2f} s) + 1 s a setup",
        allowed,
    )
    yield _held("its file", printed.bytes / 1e6, "MB", "10 MB", MOST_BYTES / 1e6)
    yield _held("its peak memory", printed.peak_mb, "MB", "350 MB", MOST_MB)


def _many(few: Printed, many: Printed) -> Iterator[Row]:
    name = f"{MANY} photos of 12 megapixels"
    yield _held(
        name,
        many.seconds,
        "s",
        f"1.1 x {FEW} photos by their number",
        1.1 * few.seconds * MANY / FEW,
    )
    yield _held(
        f"{name}: peak memory", many.peak_mb, "MB", f"1.1 x that of {FEW}", 1.1 * few.peak_mb
    )


def _held(name: str, value: float, unit: str, floor: str, most: float) -> Row:
    ratio = value / most
    return Row(name, round(value, 2), unit, floor, round(ratio, 3), "at most 1", ratio <= 1)


def _demo() -> Iterator[Row]:
    """The demonstration's whole edition, its rooms worked out and its copies of pictures made,
    against bare pages with the same pictures set as they are; then what is printed again unchanged.
    """
    with tempfile.TemporaryDirectory(prefix="sillbook-bench-") as folder:
        settings = Settings(data_dir=Path(folder))
        prepare(settings)
        with open_work(settings) as work:
            _email, _password, production = load_demo(work, places.DEMO_DATA)
            printed = print_packet(work, production, PRINTER)
        heading = Heading(1, said("packet.revision", n=1), None, None, None, "a4", "metric")
        begun = datetime.now(UTC)

        def whole() -> None:
            with open_work(settings, reading=True) as work:
                work.now = lambda: begun
                PRINTER.make(work, production, Wanted(), heading, None)

        def bare() -> None:
            copies = sorted((settings.cache_dir / "photos").glob("*-1600.jpg"))
            canvas = Canvas(io.BytesIO(), pagesize=A4)
            for number in range(printed.pages):
                canvas.drawString(72, 72, f"page {number}")
                if number < len(copies):
                    picture = ImageReader(io.BytesIO(copies[number].read_bytes()))
                    canvas.drawImage(picture, 72, 300, 300, 225)
                canvas.showPage()
            canvas.save()

        yield at_most(
            f"the demonstration's whole edition, {printed.pages} pages, warm",
            whole,
            "bare pages with the same pictures",
            bare,
            5.0,
            times=3,
        )
        again = [sys.executable, "-m", "scout", "packet", str(production)]
        env = {"SILLBOOK_DATA": folder, "PYTHONPATH": ":".join(sys.path)}

        def once_more() -> None:
            subprocess.run(again, env=env, check=True, capture_output=True)  # noqa: S603

        once_more()
        value = min(seconds(once_more) for _ in range(3))
        yield _held("printed again unchanged: scout packet", value, "s", "2 s", AGAIN_S)
