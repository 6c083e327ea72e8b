"""What of a room is hardly so and yet can be: let pass, and asked about."""

from __future__ import annotations

from dataclasses import dataclass

from scout.records.checks import FRAME_SLACK_M, head_m, overlap_m
from scout.records.piece_checks import SLACK_M
from scout.records.sheet import RoomRecord
from scout.values import Figure, Name, Said, said


@dataclass(frozen=True)
class Question:
    """What is hardly so and yet can be: what it is, the names it is of, and the facts to look at."""

    what: Said
    names: tuple[str, ...]
    facts: tuple[str, ...]


def room_questions(room: RoomRecord) -> tuple[Question, ...]:
    """What of a room is let pass and asked about: a door that just overlaps a window, a socket in a
    door's opening.
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
    return tuple(asked)
