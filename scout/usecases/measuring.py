"""Lengths on a wall off a photo: worked out from what was tapped, and kept as measured facts."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from scout.calc.photo.camera import camera_of
from scout.calc.photo.model import BUILT_TILT, SHEET_TILT, Shape, View
from scout.calc.photo.wall import Extent, fit_wall
from scout.errors import NotFound, OutOfRange, Refused
from scout.media.photos.inside import look_inside
from scout.media.photos.limits import PhotoLimits
from scout.records import Measurement
from scout.records.parts import PARTS, next_label
from scout.records.sighted import OnWall, WallPhoto
from scout.usecases import photos, rooms
from scout.usecases.as_taken import refuse_edited
from scout.usecases.work import Work
from scout.values import Name, Said, Word, said

SHEETS = {"a4": (0.210, 0.297), "letter": (0.2159, 0.2794)}  # ISO 216; ANSI/ASME Y14.1, 8.5 x 11 in
SHEET_SIGMA_M = 0.0012  # ISO 216 allows 2 mm either way
DOOR_SIGMA_M, TAPE_SIGMA_M = 0.005, 0.002  # common practice
TAP_SHARE = 1 / 1600  # of the longer side: one pixel of the copy that is tapped on, under a loupe
KINDS = ("windows", "doors", "outlets")
SURE_M = 0.05  # beyond it, say what would make it surer
TAPE_M = (
    0.01  # common practice: a tape held by one person; where a photo is worse, a second may help
)
TAPPED = ("first_at", "second_at", "thing_at", "left_at", "floor_at")
AGAIN = "again_"


@dataclass(frozen=True)
class WallFound:
    """What was asked for: lengths by name (width, height, left, up), each with its doubt. `left`:
    from the wall's left end to its left side, or to the point; `up`: from the floor to its lower
    side, or to the point. `worse`: than a tape, so that a second photo is worth its taps.
    """

    lengths: Mapping[str, Extent]
    box: bool
    told: tuple[Said, ...]
    how: str
    worse: bool


def measure_wall(work: Work, taps: WallPhoto) -> WallFound:
    """Lengths on the wall of a photo, or of two. Raises NotFound, or Refused naming the field."""
    view, name = _view(work, taps, taps.photo_id, "")
    points = {shape.name: shape.points_px for shape in view.shapes}
    if len(points["thing_at"]) not in (1, 4):
        raise Refused("thing_at", None, said("refusal.measure.thing"))
    again, other = None, None
    if taps.again_id is not None:
        again, other = _view(work, taps, taps.again_id, AGAIN)
        for shape in again.shapes:
            count = len(points.get(shape.name, shape.points_px))
            if count != len(shape.points_px):
                said_so = said("refusal.measure.count", n=count)
                raise Refused(f"{AGAIN}{shape.name}", None, said_so)
            points.setdefault(shape.name, shape.points_px)
    if (taps.second is None) != ("second_at" not in points):
        field = "second" if taps.second is None else "second_at"
        raise Refused(field, None, said("refusal.measure.second"))
    try:
        fit = fit_wall(view.camera, view.shapes, tap_px=view.tap_px, again=again)
    except OutOfRange as refusal:
        fields = {"targets": "second", f"{AGAIN}targets": f"{AGAIN}first_at"}
        raise Refused(
            fields.get(refusal.path, refusal.path), refusal.given, refusal.because
        ) from refusal
    lengths, box = {}, len(points["thing_at"]) == 4
    if box:
        lengths["width"], lengths["height"] = fit.size("thing_at")
    if "left_at" in points:
        lengths["left"] = fit.across("left_at", "thing_at")
    if "floor_at" in points:
        lengths["up"] = fit.above("floor_at", "thing_at")
    if not lengths:
        raise Refused("left_at", None, said("refusal.measure.from_where"))
    told = [] if view.camera.known else [said("measure.no_focal")]
    doubt_m = max(one.doubt_m for one in lengths.values())
    if doubt_m > SURE_M and taps.second is None:
        told.append(said("measure.surer"))
    how = said(
        "measure.how",
        photo=Name(name),
        other=None if other is None else Name(other),
        first=Word("on_wall", taps.first),
        second=None if taps.second is None else Word("on_wall", taps.second),
    )
    return WallFound(lengths, box, tuple(told), str(how), again is None and doubt_m > TAPE_M)


def _view(work: Work, taps: WallPhoto, photo_id: int, begins: str) -> tuple[View, str]:
    """One of the photos with what was tapped on it, and its name. Raises NotFound, Refused."""
    page = photos.photo(work, photo_id)
    field = f"{begins}id" if begins else "photo_id"
    if begins:
        first = photos.photo(work, taps.photo_id)
        if photo_id == taps.photo_id or (page.owner, page.owner_id) != (
            first.owner,
            first.owner_id,
        ):
            raise Refused(field, None, said("refusal.measure.other_photo"))
    held, called, _ = photos.original(work, photo_id)
    path = held.local()
    inside = look_inside(path, called, PhotoLimits(max_bytes=path.stat().st_size))
    refuse_edited(inside, field, called)
    tags = None if inside.exif is None else inside.exif.exposure
    # without the camera's own size nobody can tell a whole picture from a part of one
    whole = tags is not None and tags.width_px is not None and (tags.zoom or 1.0) <= 1.0
    equivalent = tags.equivalent_mm if tags is not None and whole else None
    wide, high = float(page.line.width_px), float(page.line.height_px)
    try:
        camera = camera_of(wide, high, equivalent)
    except OutOfRange as refusal:
        raise Refused(field, refusal.given, refusal.because) from refusal
    shapes = []
    for name in TAPPED:
        tapped = getattr(taps, begins + name)
        if tapped is None:
            continue
        points, kind = np.array(tapped) * [wide, high], getattr(taps, name[:-3], None)
        if name in ("first_at", "second_at"):
            if kind is None:
                raise Refused("second", None, said("refusal.measure.second"))
            shapes.append(_target(taps, name, kind, points, begins))
        else:
            shapes.append(Shape(name, points))
    tap_px = max(1.0, TAP_SHARE * max(wide, high))
    if begins and not shapes:
        raise Refused(f"{begins}first_at", None, said("refusal.measure.not_both"))
    return View(camera, tuple(shapes), tap_px, begins), page.line.original_name


def _target(taps: WallPhoto, name: str, kind: OnWall, points: Any, begins: str) -> Shape:
    """A sheet, a door, a tape or a plain rectangle. Raises Refused where its size is not typed."""
    needed = 2 if kind == "tape" else 4
    if len(points) != needed:
        raise Refused(begins + name, None, said("refusal.measure.count", n=needed))
    if kind == "rectangle":
        return Shape(name, points)
    if kind == "tape":
        if taps.tape_m is None:
            raise Refused("tape_m", None, said("refusal.measure.typed"))
        return Shape(name, points, (taps.tape_m,), TAPE_SIGMA_M)
    if kind == "door":
        for field in ("door_width_m", "door_height_m"):
            if getattr(taps, field) is None:
                raise Refused(field, None, said("refusal.measure.typed"))
        assert taps.door_width_m is not None
        assert taps.door_height_m is not None
        sides = taps.door_width_m, taps.door_height_m
        return Shape(name, points, sides, DOOR_SIGMA_M, BUILT_TILT)
    paper, _, way = kind.partition("_")
    sides = SHEETS[paper] if way == "upright" else SHEETS[paper][::-1]
    return Shape(name, points, sides, SHEET_SIGMA_M, SHEET_TILT)


def fields_of(kind: str, found: WallFound) -> dict[str, Extent]:
    """What of it a kind of part records. Raises Refused where the two do not fit."""
    named = {"windows": "sill_m", "outlets": "height_m", "doors": None}
    if kind not in named or (kind != "outlets" and not found.box):
        raise Refused("into", Word("kind", f"{kind}.one"), said("refusal.measure.kind"))
    lengths = dict(found.lengths)
    if kind == "outlets" and found.box:  # a plate is placed by its middle
        for name, side in (("left", "width"), ("up", "height")):
            if name in lengths:
                half, edge = lengths[side], lengths[name]
                doubt = math.hypot(edge.doubt_m, half.doubt_m / 2)
                lengths[name] = Extent(edge.m + half.m / 2, doubt)
    keys = {"left": "offset_m", "up": named[kind]}
    if kind != "outlets":
        keys |= {"width": "width_m", "height": "height_m"}
    return {key: lengths[name] for name, key in keys.items() if key and name in lengths}


def keep_lengths(
    work: Work,
    room_id: int,
    kind: str,
    part_id: int | None,
    wall: str | None,
    found: WallFound,
    replace: Collection[str] = (),
) -> dict[str, float]:
    """Write what was found into a part, or into a new one on a wall, and how good it is; what stands
    there already is written over only where `replace` names it. Returns what stands in the way, by
    field; nothing is saved while there is any. Raises NotFound, Refused, RefusedMany.
    """
    fields = fields_of(kind, found)
    if not fields:
        raise Refused("into", Word("kind", f"{kind}.one"), said("refusal.measure.nothing"))
    page = rooms.room(work, room_id)
    kept = next((part for part in page.parts[kind] if part.id == part_id), None)
    if part_id is not None and kept is None:
        raise NotFound(PARTS[kind].record.__name__.lower(), part_id)
    values = {name: max(0.0, round(one.m, 3)) for name, one in fields.items()}
    if kept is None:
        plain = {"id": next_label(page.kept.record, kind), "wall": wall, **values}
        record = PARTS[kind].record.read(plain)
        rooms.add_part(work, room_id, kind, record)
    else:
        standing = {name: getattr(kept.record, name) for name in values}
        in_the_way = {
            name: value
            for name, value in standing.items()
            if value is not None and name not in replace
        }
        if in_the_way:
            return in_the_way
        before = kept.record.model_dump(mode="json", exclude_unset=True)
        record = PARTS[kind].record.read({**before, **values})
        rooms.save_part(work, kind, kept.id, kept.version, record)
    now = work.now().isoformat(timespec="seconds")
    for name, one in fields.items():
        rooms.add_measurement(
            work,
            room_id,
            Measurement(
                path=f"{kind}.{getattr(record, 'id', '')}.{name}",
                by=work.name,
                at=now,
                how=found.how,
                accuracy=f"{max(0.5, math.ceil(one.doubt_m * 200) / 2):g} cm",
            ),
        )
    return {}
