"""What of a room is hardly so and yet can be: let pass, and asked about."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from scout.records.checks import FRAME_SLACK_M, head_m, overlap_m
from scout.records.piece_checks import SLACK_M
from scout.records.sheet import Outlet, RoomRecord
from scout.values import Figure, Name, Said, said

PLATE_M = (
    0.07  # the middles of two single plates are further apart than this (common practice: 70 mm)
)


@dataclass(frozen=True)
class Question:
    """What is hardly so and yet can be: what it is, the names it is of, and the facts to look at."""

    what: Said
    names: tuple[str, ...]
    facts: tuple[str, ...]


def room_questions(room: RoomRecord) -> tuple[Question, ...]:
    """What of a room is let pass and asked about: a door that just overlaps a window, a socket in a
    door's opening, two outlets at one spot.
    """
    asked = []
    for door in room.doors or ():
        for window in room.windows or ():
            by_m = min(overlap_m(door, window))
            if SLACK_M < by_m <= FRAME_SLACK_M:
                what = said(
                    "sheet.door_over_window",
                    door=Name(door.id),
                    window=Name(window.id),
                    by=Figure(by_m, "m"),
                )
                facts = (f"doors.{door.id}.offset_m", f"windows.{window.id}.offset_m")
                asked.append(Question(what, (door.id, window.id), facts))
        for outlet in room.outlets or ():
            if (
                outlet.wall == door.wall
                and outlet.offset_m is not None
                and door.offset_m is not None
                and door.width_m is not None
                and SLACK_M < outlet.offset_m - door.offset_m < door.width_m - SLACK_M
                and (outlet.height_m is None or outlet.height_m < head_m(door))
            ):
                what = said("sheet.outlet_in_door", outlet=Name(outlet.id), door=Name(door.id))
                facts = (f"outlets.{outlet.id}.offset_m", f"doors.{door.id}.offset_m")
                asked.append(Question(what, (outlet.id, door.id), facts))
    for one, other in combinations(room.outlets or (), 2):
        if one.wall is not None and one.wall == other.wall and _one_spot(one, other):
            what = said("sheet.outlets_at_one_spot", one=Name(one.id), other=Name(other.id))
            facts = (f"outlets.{one.id}.offset_m", f"outlets.{other.id}.offset_m")
            asked.append(Question(what, (one.id, other.id), facts))
    return tuple(asked)


def _one_spot(one: Outlet, other: Outlet) -> bool:
    """Whether two outlets of a wall have one place along it, and heights that do not tell them apart."""
    if one.offset_m is None or other.offset_m is None:
        return False
    if abs(one.offset_m - other.offset_m) >= PLATE_M:
        return False
    if one.height_m is None or other.height_m is None:
        return True
    return abs(one.height_m - other.height_m) < PLATE_M
