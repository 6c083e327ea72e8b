"""Leads from outlet to light: how long, past which doors, and how many volts are lost in which lead
of the kit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from scout.assess.answers import Placement
from scout.calc import geometry
from scout.calc.power.drop import Conductor, conductor_of, volt_drop_v
from scout.calc.power.run import CableRun, OnWall, cable_run
from scout.errors import OutOfRange
from scout.records.sheet import Cable, Door, Marks, Outlet, RoomRecord


@dataclass(frozen=True)
class Lead:
    """A lead of the kit given to one run."""

    words: str
    length_m: float
    conductor: Conductor
    assumed: tuple[str, ...]


def run_of(
    room: RoomRecord, outlet: Outlet, light: str, placement: Placement | None
) -> CableRun | str:
    """The run from an outlet to a light, or "because ..."."""
    corners = room.corners_m
    if placement is None:
        return f"because light {light} has no place yet"
    if corners is None:
        return "because the plan of the room is not measured"
    missing = [name for name in ("wall", "offset_m", "height_m") if getattr(outlet, name) is None]
    if missing:
        return f"because {' and '.join(missing)} of outlet {outlet.id} {'is' if len(missing) == 1 else 'are'} not recorded"
    assert outlet.wall is not None
    assert outlet.offset_m is not None
    assert outlet.height_m is not None
    if not bool(geometry.inside(corners, np.array(placement.at_m[:2]), edge_m=0.01)):
        return f"because light {light} stands outside the room's plan"
    longest = {wall.letter: wall.length_m for wall in geometry.walls(corners)}
    if outlet.wall not in longest:
        return f"because outlet {outlet.id} is on wall {outlet.wall}, which the plan has not"
    at = OnWall(outlet.id, outlet.wall, min(outlet.offset_m, longest[outlet.wall]))
    return cable_run(corners, at, outlet.height_m, placement.at_m, doors_of(room))


def doors_of(room: RoomRecord) -> tuple[OnWall, ...]:
    """The doors whose place is measured, as stretches of their walls."""
    corners = room.corners_m
    longest = (
        {wall.letter: wall.length_m for wall in geometry.walls(corners)}
        if corners is not None
        else {}
    )
    return tuple(
        _on_wall(door, longest[door.wall])
        for door in room.doors or ()
        if door.offset_m is not None and door.wall in longest
    )


def trip_hazards(run: CableRun, marks: Marks | None) -> tuple[str, ...]:
    """What a lead on the floor crosses where people go: doors, the subject's walk, the line from
    camera to subject.
    """
    found = [f"door {door}" for door in run.doors]
    if (
        marks is not None
        and marks.path is not None
        and geometry.lines_meet(run.path_m, [place[:2] for place in marks.path])
    ):
        found.append("the subject's walk")
    if (
        marks is not None
        and marks.camera is not None
        and marks.subject is not None
        and geometry.lines_meet(run.path_m, [marks.camera[:2], marks.subject[:2]])
    ):
        found.append("the line from camera to subject")
    return tuple(found)


def _on_wall(door: Door, wall_m: float) -> OnWall:
    assert door.offset_m is not None
    return OnWall(door.id, door.wall, min(door.offset_m, wall_m), door.width_m or 0.0)


def unplaced_doors(room: RoomRecord) -> tuple[str, ...]:
    """Doors whose place on the wall is not measured: whether a lead passes them is not known."""
    return tuple(
        door.id for door in room.doors or () if door.offset_m is None or door.width_m is None
    )


def give_leads(
    cables: Sequence[Cable] | None, needed_m: Mapping[str, float]
) -> dict[str, Lead | str]:
    """A lead for every light that needs one, or "because ...": longest runs first, each the
    shortest lead that reaches.

    The current goes through the whole lead, wound off, not only through the part that is needed.
    """
    if cables is None:
        return dict.fromkeys(needed_m, "because the kit's cables are not recorded")
    if not cables:
        return dict.fromkeys(needed_m, "because the kit has no cables")
    free = sorted(cables, key=lambda cable: (cable.length_m, -(cable.conductor_mm2 or 0.0)))
    found: dict[str, Lead | str] = {}
    for light, metres in sorted(needed_m.items(), key=lambda item: (-item[1], item[0])):
        reaching = [cable for cable in free if cable.length_m >= metres - 1e-9]
        if reaching:
            free.remove(reaching[0])
            found[light] = _lead(reaching[0], reaching[0].length_m, ())
            continue
        every = sorted(
            (cable for cable in cables if cable.length_m >= metres - 1e-9),
            key=lambda cable: cable.length_m,
        )
        if every:
            words = (
                f"No lead of the kit is left for light {light}; its volt drop is for one more like the {every[0].length_m:g} m one. Bring it.",
            )
            found[light] = _lead(every[0], every[0].length_m, words)
            continue
        longest = max(cables, key=lambda cable: (cable.length_m, cable.conductor_mm2 or 0.0))
        words = (
            f"No lead of the kit reaches light {light}: {metres:.1f} m are needed and the longest is {longest.length_m:g} m. Its volt drop is "
            "for a lead just long enough of the same section. Bring one; do not chain leads.",
        )
        found[light] = _lead(longest, metres, words)
    return found


def _lead(cable: Cable, length_m: float, assumed: tuple[str, ...]) -> Lead | str:
    if cable.conductor_mm2 is None:
        return f"because the conductor (conductor_mm2) of the {cable.length_m:g} m lead is not recorded"
    try:
        conductor = conductor_of(cable.conductor_mm2)
    except OutOfRange as refusal:  # its text names the sections that are printed
        return f"because of the {cable.length_m:g} m lead: conductor_mm2 {cable.conductor_mm2:g} {refusal.because}"
    return Lead(f"{length_m:.1f} m of {conductor.name}", length_m, conductor, assumed)


def drop_pct(lead: Lead, amperes: float, volts: float) -> float:
    """Volts lost in the lead as a share of the mains [%]."""
    return 100.0 * volt_drop_v(lead.length_m, lead.conductor.ohm_per_m, amperes) / volts
