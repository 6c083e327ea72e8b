"""How furniture fits a room: within its plan, out of its doors, none in another, none round a mark."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import numpy as np

from scout.calc import geometry
from scout.calc.fit.floor.blocks import zones_meet
from scout.errors import Refused
from scout.records.sheet import Furniture, RoomRecord
from scout.values import Figure, Many, Name, said

FURNITURE_SLACK_M = (
    0.05  # a middle is worked out from two sides, and a back stands on a skirting board
)
DOORWAY_M = 0.10  # in front of a door: nothing stands in its opening
RUG_MOST_M = 0.05  # what is no higher lies on the floor: others stand on it (common practice)
DOOR_M = 2.0  # what hangs higher stands in no door
SLACK_M = 0.005  # a tape read to the centimetre may overrun by half of one


def piece_refusals(
    block: Furniture, here: str, room: RoomRecord, corners: Any
) -> Iterator[Refused]:
    """Where a piece is too high for its room or leaves its plan."""
    if (
        block.height_m is not None
        and room.height_m is not None
        and room.setting != "exterior"
        and block.height_m > room.height_m + SLACK_M
    ):
        yield above_ceiling(f"{here}.height_m", block.height_m, room.height_m)
    if corners is None or block.at_m is None:
        return
    if not bool(geometry.inside(corners, np.array(block.at_m), edge_m=SLACK_M)):
        yield Refused(f"{here}.at_m", place_given(block.at_m), said("sheet.middle_outside"))
        return
    outline = block.corners_m
    if outline is None:
        return
    ring = np.asarray(outline, dtype=np.float64)
    edge = np.concatenate(
        [
            start + np.linspace(0.0, 1.0, 41)[:, None] * (end - start)
            for start, end in zip(ring, np.roll(ring, -1, axis=0), strict=True)
        ]
    )
    out = ~geometry.inside(corners, edge, edge_m=FURNITURE_SLACK_M)
    if bool(np.any(out)):
        x, y = edge[int(np.argmax(out))]
        yield Refused(
            f"{here}.at_m",
            place_given(block.at_m),
            said("sheet.edge_outside", x=metres(float(x)), y=metres(float(y))),
        )


def overlap_refusals(
    number: int, here: str, room: RoomRecord, walls: Mapping[str, geometry.Wall] | None
) -> Iterator[Refused]:
    """Where a piece stands in another, in a door, or is open up to above its own top."""
    pieces = room.furniture or ()
    piece = pieces[number]
    low, high = _reach(piece)
    if piece.height_m is not None and low >= piece.height_m:
        yield Refused(
            f"{here}.clear_below_m",
            metres(low),
            said("sheet.open_to_top", height=metres(piece.height_m)),
        )
        return
    ring = _footprint(piece)
    if ring is None or piece.at_m is None or _is_rug(piece):
        return
    for other in pieces[:number]:
        stands, (other_low, other_high) = _footprint(other), _reach(other)
        if (
            stands is not None
            and not _is_rug(other)
            and min(high, other_high) - max(low, other_low) > SLACK_M
            and zones_meet(ring, stands)
        ):
            yield Refused(
                f"{here}.at_m",
                place_given(piece.at_m),
                said("sheet.in_other", other=Name(other.id)),
            )
    for door in room.doors or ():
        wall = (walls or {}).get(door.wall)
        if wall is None or door.offset_m is None or door.width_m is None or low >= DOOR_M:
            continue
        a, b = (
            wall.start_m + wall.along * along
            for along in (door.offset_m, door.offset_m + door.width_m)
        )
        opening = np.array([a, b, b - wall.outward * DOORWAY_M, a - wall.outward * DOORWAY_M])
        if zones_meet(ring, opening):
            yield Refused(
                f"{here}.at_m", place_given(piece.at_m), said("sheet.in_door", door=Name(door.id))
            )


def _is_rug(piece: Furniture) -> bool:
    return piece.height_m is not None and piece.height_m <= RUG_MOST_M


def _reach(piece: Furniture) -> tuple[float, float]:
    """From where to where it reaches above the floor; of one of unknown height only its foot is
    known.
    """
    low = piece.clear_below_m or 0.0
    return low, low + 10 * SLACK_M if piece.height_m is None else piece.height_m


def _footprint(piece: Furniture) -> np.ndarray | None:
    """(4, 2) its outline, drawn in by what a tape may be out."""
    if piece.width_m is None or piece.depth_m is None:
        return None
    drawn_in = {
        side: max(size - FURNITURE_SLACK_M, size / 2)
        for side, size in (("width_m", piece.width_m), ("depth_m", piece.depth_m))
    }
    ring = piece.model_copy(update=drawn_in).corners_m
    return None if ring is None else np.asarray(ring, dtype=np.float64)


def in_piece_refusals(
    place: tuple[float, float, float], path: str, room: RoomRecord
) -> Iterator[Refused]:
    """Where a mark lies within a piece."""
    for piece in room.furniture or ():
        ring, (low, high) = _footprint(piece), _reach(piece)
        if ring is not None and low < place[2] < high and geometry.inside(ring, place[:2]):
            yield Refused(path, place_given(place), said("sheet.in_piece", piece=Name(piece.id)))


def metres(length_m: float) -> Figure:
    """A length as a value."""
    return Figure(length_m, "m")


def place_given(parts: Iterable[float]) -> Many:
    """A place as it was given."""
    return Many(tuple(metres(part) for part in parts), "list")


def above_ceiling(path: str, given_m: float, ceiling_m: float) -> Refused:
    """What reaches above the ceiling."""
    return Refused(path, metres(given_m), said("sheet.above_ceiling", ceiling=metres(ceiling_m)))
