"""Photos: the original kept byte for byte, upright copies made from it, and what people say about
it.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path, PurePosixPath
from typing import Any, BinaryIO, Literal, get_args
from zoneinfo import ZoneInfo

from PIL import Image
from sqlalchemy import func, select

from scout.errors import Refused
from scout.media.photos.inside import Inside, look_inside
from scout.media.photos.limits import PhotoLimits
from scout.media.photos.photos import PhotoFacts, facts_of
from scout.media.photos.pictures import (
    blank,
    derivative_jpeg,
    draw_inside,
    draw_within,
    jpeg_bytes,
)
from scout.records import PhotoRecord
from scout.records.kept import Overlay
from scout.store import models, translate
from scout.store.files import FileStore, Held, StoredFile, write_bytes
from scout.store.messages import keep
from scout.store.queries import common, jobs
from scout.store.queries import places as queries
from scout.store.queries.common import BEGINNING, Spot
from scout.usecases import keeping, lines
from scout.usecases.notes import owned_by, owner_of
from scout.usecases.shown import Kept, Page, PhotoAdded, PhotoFound, PhotoPage
from scout.usecases.work import Work
from scout.values import Name, Said, said

Deed = Literal["print", "leave_out", "turn_right", "turn_left", "move", "delete"]
DEEDS: tuple[Deed, ...] = get_args(Deed)
LAST = 1_000_000  # behind all others, until their order is next changed
SIZES_PX: dict[str, int] = {"thumb": 360, "screen": 1600}
TURNS_DEG: dict[str, int] = {"no": 0, "right": 90, "over": 180, "left": 270}  # clockwise


def add_photo(
    work: Work, owner: str, owner_id: int, stream: BinaryIO, name: str, *, undrawn: bool = False
) -> PhotoAdded:
    """Keep a photo of a location or a room. Raises NotFound, or Refused for what is no picture we
    read or is too large.

    The original is on disk before the row that names it; a refused file leaves nothing behind.
    undrawn: nobody waits to read what drawing it would say, so that is left to `draw_kept`
    """
    # copying, reading and drawing take seconds: nobody else's save should wait for it
    work.db.rollback()
    safe = _file_name(name)
    stored = work.files.put(stream, most_bytes=work.settings.max_upload_bytes, name=safe)
    try:
        limits = PhotoLimits(max_bytes=work.settings.max_upload_bytes)
        inside = look_inside(stored.path, safe, limits)
        facts = facts_of(inside, stored.sha256)
        drawn = () if undrawn else _draw(work, stored, inside)
        held = owner_of(work, owner, owner_id)
        zone = (held.location if isinstance(held, models.Room) else held).timezone
        taken_at, note = _moment(facts.taken_at, zone)
        notes = (*facts.warnings, *((note,) if note else ()), *drawn)
        facts = dataclasses.replace(facts, warnings=notes)
        return _record(work, owner, owner_id, stored, safe, facts, taken_at)
    except BaseException:
        work.db.rollback()
        _forget_unused(work, stored.sha256)
        raise


def _record(
    work: Work,
    owner: str,
    owner_id: int,
    stored: StoredFile,
    safe: str,
    facts: PhotoFacts,
    taken_at: str | None,
) -> PhotoAdded:
    owner_column = models.Photo.room_id if owner == "room" else models.Photo.location_id
    same = select(models.Photo.id).where(
        models.Photo.sha256 == stored.sha256,
        owner_column == owner_id,
        models.Photo.binned_at.is_(None),
    )
    last, twin = work.db.execute(
        select(func.max(models.Photo.position), same.limit(1).scalar_subquery()).where(
            owner_column == owner_id
        )
    ).one()
    row = models.Photo(
        **{f"{owner}_id": owner_id},
        sha256=stored.sha256,
        bytes=stored.bytes,
        original_name=safe,
        mime=facts.media_type,
        width_px=facts.width_px,
        height_px=facts.height_px,
        facts={**facts.as_json(), "warnings": [keep(one) for one in facts.warnings]},
        caption=None,
        in_packet=True,
        position=0 if last is None else last + 1,
        latitude_deg=facts.latitude_deg,
        longitude_deg=facts.longitude_deg,
        bearing_deg=facts.bearing_deg,
        taken_at=taken_at,
    )
    work.add(row, f"photo {safe} added")
    work.commit()
    return PhotoAdded(row.id, facts.warnings, twin)


def draw_kept(work: Work, key: int) -> None:
    """Make the copy for the screen of a photo that was kept without; what its drawing tells goes to
    what else its file told. Raises NotFound, Damaged.
    """
    work.read_first()  # drawing takes seconds: nobody else's save should wait for it
    row = _living(work, key)
    path = work.files.get(row.sha256)
    work.db.rollback()
    inside = look_inside(path, row.original_name, _let_in(path))
    notes = _draw(work, StoredFile(row.sha256, row.bytes, path), inside)
    if notes:
        row = _living(work, key)
        warnings = [*row.facts["warnings"], *(keep(one) for one in notes)]
        row.facts = {**row.facts, "warnings": warnings}
        work.changed(row, f"photo {row.original_name} drawn")
        work.commit()


def _draw(work: Work, stored: StoredFile, inside: Inside) -> tuple[Said, ...]:
    """Make the copy for the screen, as a rule while the person waits, so that what cannot be drawn
    is said now and not on a later page.
    """
    try:
        drawn = draw_inside(inside, longest_px=SIZES_PX["screen"], limits=_let_in(stored.path))
    except Refused as refusal:
        why = refusal.because if isinstance(refusal.because, Said) else Name(refusal.because)
        return (said("photo.not_drawn", why=why),)
    write_bytes(
        _copy_path(work.settings.cache_dir, stored.sha256, "screen"), jpeg_bytes(drawn.image)
    )
    return drawn.notes


def _file_name(name: str) -> str:
    """The last part of what the browser called the file, printable and short enough to keep."""
    base = PurePosixPath(name.replace("\\", "/")).name
    tidy = "".join(ch for ch in base if ch.isprintable() and not "\ud800" <= ch <= "\udfff").strip()
    return tidy[-200:] or "photo"


def _moment(text: str | None, zone: str | None) -> tuple[str | None, Said | None]:
    """When the photo was taken, with an offset; the camera's own if it recorded one, else the
    location's zone, and what was done.
    """
    if text is None:
        return None, None
    when = datetime.fromisoformat(text)
    if when.tzinfo is not None:
        return text, None
    shown = Name(text.replace("T", " "))
    if zone is None:
        return None, said("photo.zone_unknown", at=shown)
    local = when.replace(tzinfo=ZoneInfo(zone))
    there_and_back = local.astimezone(UTC).astimezone(ZoneInfo(zone)).replace(tzinfo=None)
    twice = local.utcoffset() != local.replace(fold=1).utcoffset()
    if there_and_back != when:
        return None, said("photo.time_skipped", at=shown, zone=Name(zone))
    if twice:
        return local.isoformat(), said("photo.zone_taken_twice", zone=Name(zone))
    return local.isoformat(), said("photo.zone_taken", zone=Name(zone))


def _forget_unused(work: Work, sha256: str) -> None:
    named = (models.Photo.sha256, models.Recording.sha256)
    if all(
        work.db.scalar(select(column).where(column == sha256).limit(1)) is None for column in named
    ):
        work.files.remove(sha256)


def photo(work: Work, key: int) -> PhotoPage:
    """A photo with what its file says. Raises NotFound."""
    row = common.one(work.db, models.Photo, key)
    owner, held = owned_by(work, row)
    return PhotoPage(lines.photo_line(row), owner, held.id, lines.room_name(held))


def _living(work: Work, key: int) -> models.Photo:
    row = common.one(work.db, models.Photo, key)
    owned_by(work, row)
    return row


def find_photos(work: Work, *, text: str = "", spot: Spot = BEGINNING) -> Page[PhotoFound]:
    """A page of photos whose caption, file name, room, tag or place holds the text."""
    return keeping.page(work, queries.photos_found(text.strip()), spot, _found)


def _found(rows: list[Any]) -> list[PhotoFound]:
    return [
        PhotoFound(
            lines.photo_line(row),
            "location" if room is None else "room",
            place.id if room is None else room.id,
            place.name if room is None else lines.room_name(room),
            () if room is None else tuple(room.tags or ()),
        )
        for row, place, room in rows
    ]


def change_photos(
    work: Work,
    chosen: Mapping[int, int],
    deed: Deed,
    to: tuple[str, int] | None = None,
) -> int:
    """Do one thing to several photos, all or none; returns how many there were. Raises NotFound,
    Refused, and Stale where one was changed since it was shown.

    chosen: the version each was shown with, by key
    to:     the kind and key of the owner they move to, behind what it has
    """
    if not chosen:
        raise Refused("chosen", None, said("refused.no_photos"))
    if deed == "move" and to is None:
        raise Refused("to", None, said("refused.no_owner"))
    held = owner_of(work, *to) if deed == "move" and to is not None else None
    for key, version in chosen.items():
        row = _living(work, key)
        record: PhotoRecord = translate.to_record(row)
        keeping.compare_version(row, version, record, translate.plain_of(row, PhotoRecord), "photo")
        if deed == "delete":
            row.binned_at, row.binned_by = work.now(), work.name
        elif held is not None:
            at_room = isinstance(held, models.Room)
            row.room_id, row.location_id = (held.id, None) if at_room else (None, held.id)
            row.position = LAST
        elif deed in ("turn_right", "turn_left"):
            translate.fill(row, turned_further(record, 90 if deed == "turn_right" else 270))
        else:
            row.in_packet = deed == "print"
        work.changed(row, f"photo {row.original_name}: {deed}")
    work.commit()
    return len(chosen)


def turned_further(record: PhotoRecord, clockwise_deg: int) -> PhotoRecord:
    """What is said of a photo that is turned by quarters, with what was drawn on it."""
    turn = (TURNS_DEG[record.turned] + clockwise_deg) % 360
    drawn = record.overlays
    for _quarter in range(clockwise_deg // 90 % 4):
        drawn = drawn and tuple(map(_quarter_turned, drawn))
    word = next(word for word, deg in TURNS_DEG.items() if deg == turn)
    return PhotoRecord.read({**record.plain(), "turned": word, "overlays": drawn})


def turned_along(record: PhotoRecord, was: str) -> PhotoRecord:
    """A record whose turn was changed while what is drawn on it was not: that goes with it."""
    further = (TURNS_DEG[record.turned] - TURNS_DEG[was]) % 360
    return turned_further(PhotoRecord.read({**record.plain(), "turned": was}), further)


def _quarter_turned(one: Overlay) -> Overlay:
    """What lay x from the left lies x from the top, what lay y from the top lies y from the right."""
    end = {}
    if one.to_x is not None and one.to_y is not None:
        end = {"to_x": 1 - one.to_y, "to_y": one.to_x}
    return one.model_copy(update={"x": 1 - one.y, "y": one.x} | end)


def photo_kept(work: Work, key: int) -> Kept[PhotoRecord]:
    """What people say of a photo, with its version."""
    row = _living(work, key)
    return keeping.shown(row, translate.to_record(row))


def taken_question(latitude_deg: float, longitude_deg: float) -> Said | None:
    """What to ask before a typed position is taken for a photo's: 0, 0 is what a phone writes when
    it withholds where it is.
    """
    if latitude_deg != 0 or longitude_deg != 0:
        return None
    return said("sun.null_island")


def save_photo(work: Work, key: int, version: int, record: PhotoRecord) -> None:
    """Save caption, order, position, bearing and time over the version they were opened at."""
    _living(work, key)
    if (record.latitude_deg is None) != (record.longitude_deg is None):
        raise Refused(
            "latitude_deg" if record.latitude_deg is None else "longitude_deg",
            None,
            said("kept.other_coordinate"),
        )
    keeping.save(work, models.Photo, key, version, record, "photo changed")


def move_photo(work: Work, key: int, version: int, position: int) -> None:
    """Put a photo at another place in the order of its owner's photos; the others close up."""
    row = _living(work, key)
    record: PhotoRecord = translate.to_record(row)
    keeping.compare_version(row, version, record, translate.plain_of(row, PhotoRecord), "photo")
    owner = (
        models.Photo.room_id == row.room_id
        if row.room_id is not None
        else models.Photo.location_id == row.location_id
    )
    others = list(
        work.db.scalars(
            select(models.Photo)
            .where(owner, models.Photo.binned_at.is_(None), models.Photo.id != key)
            .order_by(models.Photo.position, models.Photo.id)
        )
    )
    others.insert(max(0, min(position, len(others))), row)
    for place, other in enumerate(others):
        if other.position != place:
            other.position = place
    work.changed(row, "photo moved")
    work.commit()


def bin_photo(work: Work, key: int, version: int) -> None:
    """Move a photo to the bin; its original stays on disk."""
    row = _living(work, key)
    keeping.bin_row(work, row, version, f"photo {row.original_name} moved to the bin")


def picture(work: Work, key: int, size: Literal["thumb", "screen"]) -> Path:
    """A copy as it is shown, in sRGB without metadata, as JPEG, made when first asked for. Raises
    NotFound, Damaged.
    """
    row = _living(work, key)
    return copy_of(work.files, work.settings.cache_dir, row.sha256, size, TURNS_DEG[row.turned])


def turn_deg(work: Work, key: int) -> int:
    """By how much a photo is shown turned clockwise, from how its file says it was held."""
    return TURNS_DEG[_living(work, key).turned]


def turned_photos(work: Work) -> dict[int, str]:
    """Which photos are turned, and how: their pictures are others than they were."""
    return queries.turned_photos(work.db)


def copy_of(files: FileStore, cache: Path, sha256: str, size: str, turn_deg: int = 0) -> Path:
    """The copy of an original as it is shown, from the cache or made anew."""
    path = _copy_path(cache, sha256, size, turn_deg)
    if not path.is_file():
        try:
            source = files.get(sha256)
            data = derivative_jpeg(
                source, longest_px=SIZES_PX[size], turn_deg=turn_deg, limits=_let_in(source)
            )
        except Refused:
            data = jpeg_bytes(blank(str(said("photo.blank"))))
        write_bytes(path, data)
    return path


def draw_to_print(
    files: FileStore, cache: Path, sha256: str, turn_deg: int, box_px: tuple[int, int]
) -> Image.Image:
    """The picture as it is shown, as large as fits a box on paper: of the screen's copy where that has
    the pixels and is made already, else of the original.
    """
    source = _copy_path(cache, sha256, "screen", turn_deg)
    if max(box_px) <= SIZES_PX["screen"] and source.is_file():
        turn_deg = 0  # it is turned
    else:
        source = files.get(sha256)
    try:
        return draw_within(source, box_px, turn_deg=turn_deg, limits=_let_in(source))
    except Refused:
        return blank(str(said("photo.blank")))


def _let_in(path: Path) -> PhotoLimits:
    """Limits for a file that is kept already: it was let in by the limit of its day, which may have
    been another.
    """
    return PhotoLimits(max_bytes=path.stat().st_size)


def _copy_path(cache: Path, sha256: str, size: str, turn_deg: int = 0) -> Path:
    turn = f"-{turn_deg}" if turn_deg else ""
    return cache / "photos" / f"{sha256}-{SIZES_PX[size]}{turn}.jpg"


def original(work: Work, key: int) -> tuple[Held, str, str]:
    """The original file, its name and its kind."""
    row = _living(work, key)
    return work.files.held(row.sha256), row.original_name, row.mime


def photo_faults(work: Work) -> list[Said]:
    """Photos (those in the bin too) whose original is missing or is not what was stored."""
    found = []
    for row in jobs.all_photos(work.db):
        fault = work.files.check(row.sha256)
        if fault is not None:
            name = Name(row.original_name)
            found.append(said("kept.photo_fault", photo=Name(str(row.id)), name=name, fault=fault))
    return found
