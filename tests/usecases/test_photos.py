"""Photos by use case: what is kept, what is refused, and what becomes of a camera's clock that
knows no zone.
"""

from __future__ import annotations

import hashlib
import io
import struct
import threading
import zlib
from pathlib import Path
from typing import BinaryIO

import pytest
from PIL import Image

from scout.errors import NotFound, Refused, Stale
from scout.media.photos.inside import look_inside
from scout.records import LocationRecord, NoteRecord, PhotoRecord, RoomRecord
from scout.settings import Settings
from scout.usecases import bin as bins
from scout.usecases import locations, notes, photos, rooms
from scout.usecases.work import Who, Work, open_work
from scout.values import said

ADA = Who(1, "Ada", "ada@example.org", "owner")


def jpeg(
    colour: str = "red",
    taken: str | None = None,
    offset: str | None = None,
    orientation: int | None = None,
) -> io.BytesIO:
    exif = Image.Exif()
    inner = exif.get_ifd(0x8769)
    if taken:
        inner[0x9003] = taken  # DateTimeOriginal
    if offset:
        inner[0x9011] = offset  # OffsetTimeOriginal
    if orientation:
        exif[0x0112] = orientation
    held = io.BytesIO()
    Image.new("RGB", (40, 30), colour).save(held, "JPEG", exif=exif)
    return io.BytesIO(held.getvalue())


def everything(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file()] if folder.is_dir() else []


@pytest.fixture
def place(work: Work) -> int:
    return locations.add_location(work, LocationRecord(name="Mill", timezone="Europe/London"))


@pytest.fixture
def room(work: Work, place: int) -> int:
    return rooms.add_room(work, place, RoomRecord(name="Loft"))


# -- kept and shown
# ---------------------------------------------------------------------------------------------------
def test_a_photo_is_kept_byte_for_byte_under_its_sha256(work: Work, room: int) -> None:
    data = jpeg(orientation=6).getvalue()
    added = photos.add_photo(work, "room", room, io.BytesIO(data), "C:\\pictures\\loft.jpg")
    held, name, kind = photos.original(work, added.id)
    path = held.local()
    assert path.read_bytes() == data
    assert (path.name, name, kind) == (hashlib.sha256(data).hexdigest(), "loft.jpg", "image/jpeg")
    page = photos.photo(work, added.id)
    assert (page.line.width_px, page.line.height_px) == (
        30,
        40,
    )  # EXIF orientation 6: turned by 90 degrees to stand upright
    assert (page.owner, page.owner_id, page.owner_name) == ("room", room, "Loft")
    with Image.open(photos.picture(work, added.id, "thumb")) as copy:
        assert copy.size == (30, 40)
        assert not copy.getexif()


def test_the_same_photo_twice_is_told_and_kept_once(work: Work, room: int, place: int) -> None:
    first = photos.add_photo(work, "room", room, jpeg(), "a.jpg")
    second = photos.add_photo(work, "room", room, jpeg(), "b.jpg")
    elsewhere = photos.add_photo(work, "location", place, jpeg(), "a.jpg")
    assert (first.duplicate_of, second.duplicate_of, elsewhere.duplicate_of) == (
        None,
        first.id,
        None,
    )
    assert len(list(work.files.all())) == 1
    photos.bin_photo(work, first.id, 1)
    assert work.files.check(next(work.files.all())) is None  # the bin keeps the original
    with pytest.raises(NotFound):
        photos.photo(work, first.id)
    bins.restore(work, "photo", first.id)
    assert photos.photo(work, first.id).line.original_name == "a.jpg"


def test_photos_keep_the_order_they_are_given(work: Work, room: int) -> None:
    keys = [
        photos.add_photo(work, "room", room, jpeg(colour), f"{colour}.jpg").id
        for colour in ("red", "green", "blue")
    ]
    photos.move_photo(work, keys[2], 1, 0)
    assert [line.id for line in rooms.room(work, room).photos] == [keys[2], keys[0], keys[1]]
    photos.move_photo(work, keys[2], photos.photo(work, keys[2]).line.version, 99)
    assert [line.id for line in rooms.room(work, room).photos] == keys
    with pytest.raises(Stale):
        photos.move_photo(work, keys[2], 1, 0)


def test_what_people_say_of_a_photo(work: Work, room: int) -> None:
    key = photos.add_photo(work, "room", room, jpeg(), "a.jpg").id
    photos.save_photo(
        work,
        key,
        1,
        PhotoRecord(caption="North wall", latitude_deg=52.0, longitude_deg=0.1, in_packet=False),
    )
    assert photos.photo_kept(work, key).record.caption == "North wall"
    with pytest.raises(Refused, match="longitude_deg"):
        photos.save_photo(work, key, 2, PhotoRecord(latitude_deg=52.0))
    with pytest.raises(Stale) as stale:
        photos.save_photo(work, key, 1, PhotoRecord(caption="mine"))
    assert (stale.value.yours["caption"], stale.value.theirs["caption"]) == ("mine", "North wall")


# -- the camera's clock
# -----------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("taken", "offset", "at", "said"),
    [
        # by hand, Europe/London in 2026: clocks go on at 01:00 UTC on 29 March, back at 01:00 UTC
        # on 25 October
        ("2026:06:21 14:00:00", None, "2026-06-21T14:00:00+01:00", "taken to be in Europe/London"),
        ("2026:01:21 14:00:00", None, "2026-01-21T14:00:00+00:00", "taken to be in Europe/London"),
        (
            "2026:06:21 14:00:00",
            "+09:00",
            "2026-06-21T14:00:00+09:00",
            None,
        ),  # the camera's own offset counts, wherever it is
        ("2026:03:29 01:30:00", None, None, "skipped in Europe/London"),
        (
            "2026:10:25 01:30:00",
            None,
            "2026-10-25T01:30:00+01:00",
            "twice that day: the first is taken",
        ),
        (None, None, None, None),
    ],
)
def test_when_a_photo_was_taken(
    work: Work, room: int, taken: str | None, offset: str | None, at: str | None, said: str | None
) -> None:
    added = photos.add_photo(work, "room", room, jpeg(taken=taken, offset=offset), "a.jpg")
    assert photos.photo(work, added.id).line.taken_at == at
    if said:
        assert any(said in str(warning) for warning in added.warnings), added.warnings


def test_without_a_zone_the_instant_is_not_known(work: Work) -> None:
    nowhere = locations.add_location(work, LocationRecord(name="Somewhere"))
    added = photos.add_photo(work, "location", nowhere, jpeg(taken="2026:06:21 14:00:00"), "a.jpg")
    assert photos.photo(work, added.id).line.taken_at is None
    assert any(
        "time zone is not known" in warning and "2026-06-21 14:00:00" in warning
        for warning in map(str, added.warnings)
    )


# -- refused
# ----------------------------------------------------------------------------------------------------------
def bomb() -> io.BytesIO:
    """A PNG header that claims 60,000 x 60,000 pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    header = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    return io.BytesIO(
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(b"\0" * 100))
        + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(
    ("content", "name"),
    [
        (io.BytesIO(b""), "empty.jpg"),
        (io.BytesIO(b"To whom it may concern"), "letter.jpg"),
        (io.BytesIO(b"%PDF-1.7\n%%EOF"), "plan.jpg"),
        (bomb(), "bomb.png"),
        (io.BytesIO(b"\xff\xd8\xff\xe0"), "stump.jpg"),
        (io.BytesIO(b"<svg onload='alert(1)'/>"), "x.svg"),
    ],
)
def test_what_is_no_picture_is_refused_by_name_and_leaves_nothing(
    work: Work, room: int, content: BinaryIO, name: str
) -> None:
    content.seek(0)
    with pytest.raises(Refused) as refusal:
        photos.add_photo(work, "room", room, content, name)
    assert name in str(refusal.value)
    assert everything(work.settings.data_dir / "originals") == []
    assert rooms.room(work, room).photos == ()


def test_a_truncated_picture_is_kept_or_refused_but_never_half_a_row(work: Work, room: int) -> None:
    whole = jpeg().getvalue()
    for length in range(0, len(whole), 97):
        try:
            added = photos.add_photo(work, "room", room, io.BytesIO(whole[:length]), "cut.jpg")
        except Refused:
            continue
        assert added.warnings  # what can be read is kept, and what is missing is said
    assert len(everything(work.settings.data_dir / "originals")) == len(
        {line.sha256 for line in rooms.room(work, room).photos}
    )


class Zeros(io.RawIOBase):
    """So many noughts, without holding them."""

    def __init__(self, size: int) -> None:
        self.left = size

    def read(self, size: int = -1, /) -> bytes:
        given = min(self.left, size if size >= 0 else self.left)
        self.left -= given
        return bytes(given)


def test_200_mb_are_refused_by_the_limit_and_nothing_stays_on_disk(work: Work, room: int) -> None:
    with pytest.raises(Refused, match=r"huge\.jpg: is larger than the limit of 100 MB"):
        photos.add_photo(work, "room", room, Zeros(200_000_000), "huge.jpg")  # type: ignore[arg-type]
    assert everything(work.settings.data_dir / "originals") == []


@pytest.mark.parametrize(
    "name",
    [
        "",
        "   ",
        "../../etc/passwd",
        "a\0b.jpg",
        "n" * 400 + ".jpg",
        "ph\nto.jpg",
        "фото 📷.jpg",
        "..",
        "x\ud800.jpg",
    ],
)
def test_any_file_name_is_kept_as_something_printable(work: Work, room: int, name: str) -> None:
    added = photos.add_photo(work, "room", room, jpeg(), name)
    kept = photos.photo(work, added.id).line.original_name
    assert kept
    assert kept.isprintable()
    assert "/" not in kept
    assert len(kept) <= 200


def test_of_a_place_that_is_not_there(work: Work, room: int) -> None:
    for owner, key in (("room", room + 1), ("location", 10**12), ("planet", 1)):
        with pytest.raises(NotFound):
            photos.add_photo(work, owner, key, jpeg(), "a.jpg")
    assert everything(work.settings.data_dir / "originals") == []


def test_a_refused_twin_of_a_kept_photo_takes_nothing_away(work: Work, room: int) -> None:
    added = photos.add_photo(work, "room", room, jpeg(), "a.jpg")
    with pytest.raises(NotFound):
        photos.add_photo(work, "room", room + 1, jpeg(), "a.jpg")
    assert photos.original(work, added.id)[0].local().is_file()


def test_while_a_photo_is_read_others_can_save(embedded: Settings) -> None:
    # property: copying, reading and drawing hold no place among the writers
    with open_work(embedded, ADA) as work:
        place = locations.add_location(work, LocationRecord(name="Mill"))
    reading, saved = threading.Event(), threading.Event()

    class Slow(io.BytesIO):
        def read(self, size: int | None = -1, /) -> bytes:
            reading.set()
            assert saved.wait(10)
            return super().read(size)

    failures: list[BaseException] = []

    def upload() -> None:
        try:
            with open_work(embedded, ADA) as work:
                photos.add_photo(work, "location", place, Slow(jpeg().getvalue()), "slow.jpg")
        except BaseException as error:  # noqa: BLE001  # whatever it was, the test must tell it
            failures.append(error)

    thread = threading.Thread(target=upload)
    thread.start()
    assert reading.wait(10)
    with open_work(embedded, ADA) as work:
        notes.add_note(work, "location", place, NoteRecord(text="meanwhile"))
    saved.set()
    thread.join()
    assert failures == []
    with open_work(embedded, reading=True) as work:
        assert len(locations.location(work, place).photos) == 1


def test_a_photo_is_taken_apart_once_and_its_notes_are_kept_as_messages(
    work: Work, room: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = []

    def look(*given: object) -> object:
        opened.append(given)
        return look_inside(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(photos, "look_inside", look)
    added = photos.add_photo(work, "room", room, jpeg(), "a.jpg")
    assert len(opened) == 1
    assert said("photo.no_time") in added.warnings
    work.db.expire_all()
    assert photos.photo(work, added.id).line.warnings == added.warnings
