"""Leads from outlet to light: how long, past which doors, and how many volts are lost in which lead
of the kit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, cast

import numpy as np

from scout.assess.answers import Placement, unmeasured
from scout.calc import geometry
from scout.calc.power.drop import Conductor, conductor_of, volt_drop_v
from scout.calc.power.run import CableRun, OnWall, cable_run
from scout.calc.power.ways import Floor
from scout.errors import OutOfRange
from scout.records.sheet import Cable, Outlet, RoomRecord
from scout.values import Figure, Name, Said, said


@dataclass(frozen=True)
class Lead:
    """The lead that one run gets, or would need. `lack`: why the kit has none for it, and then
    `spare_m` is the longest it could have (nought: none). `conductor` is a Said where it cannot be
    told.
    """

    length_m: float
    conductor_mm2: float | None
    conductor: Conductor | Said
    lack: Literal["short", "taken"] | None = None
    spare_m: float | None = None


def run_of(floor: Floor | None, outlet: Outlet, placement: Placement | None) -> CableRun | Said:
    """The run from an outlet to a light, or why it cannot be told."""
    if placement is None:
        return said("power.no_place_yet")
    if floor is None:
        return unmeasured("room.plan_m")
    missing = [name for name in ("wall", "offset_m", "height_m") if getattr(outlet, name) is None]
    longest = {wall.letter: wall.length_m for wall in geometry.walls(floor.plan_m)}
    if not missing and outlet.wall not in longest:
        missing = ["wall"]
    if missing:
        return unmeasured(*(f"outlets.{outlet.id}.{name}" for name in missing))
    assert outlet.wall is not None
    assert outlet.offset_m is not None
    assert outlet.height_m is not None
    if not bool(geometry.inside(floor.plan_m, np.array(placement.at_m[:2]), edge_m=0.01)):
        return said("power.light_outside")
    at = OnWall(outlet.id, outlet.wall, min(outlet.offset_m, longest[outlet.wall]))
    return cable_run(floor, at, outlet.height_m, placement.at_m)


def trip_hazards(run: CableRun) -> tuple[Said, ...]:
    """What a lead on the floor crosses where people go: doors that are no exits, the subject's walk,
    the line from camera to subject. Across an exit no tape helps.
    """
    crossed = [
        said("power.crosses.door", door=Name(door)) for door in run.doors if door not in run.exits
    ]
    if "walk" in run.crosses:
        crossed.append(said("power.crosses.walk"))
    if "shot" in run.crosses:
        crossed.append(said("power.crosses.shot"))
    return tuple(crossed)


def unplaced_doors(room: RoomRecord) -> tuple[str, ...]:
    """Doors whose place on the wall is not measured: whether a lead passes them is not known."""
    return tuple(
        f"doors.{door.id}.{name}"
        for door in room.doors or ()
        for name in ("offset_m", "width_m")
        if getattr(door, name) is None
    )


def give_leads(cables: Sequence[Cable], needed_m: Mapping[str, float]) -> dict[str, Lead]:
    """A lead for every light that needs one: longest runs first, each the shortest lead that
    reaches; where none does or none is left, the one to bring.

    The current goes through the whole lead, wound off, not only through the part that is needed.
    """
    free = sorted(cables, key=lambda cable: (cable.length_m, -(cable.conductor_mm2 or 0.0)))
    leads: dict[str, Lead] = {}
    for light, metres in sorted(needed_m.items(), key=lambda item: (-item[1], item[0])):
        reaching = next((cable for cable in free if _reaches(cable, metres)), None)
        if reaching is not None:
            free.remove(reaching)
            leads[light] = _lead(reaching, reaching.length_m)
            continue
        spare_m = max((cable.length_m for cable in free), default=0.0)
        taken = min(
            (cable for cable in cables if _reaches(cable, metres)),
            key=lambda cable: cable.length_m,
            default=None,
        )
        if taken is not None:
            leads[light] = _lead(taken, taken.length_m, "taken", spare_m)
            continue
        longest = max(
            cables,
            key=lambda cable: (cable.length_m, cable.conductor_mm2 or 0.0),
            default=Cable(length_m=metres),
        )
        spare_m = longest.length_m if cables else 0.0
        leads[light] = _lead(longest, metres, "short", spare_m)
    return leads


def _reaches(cable: Cable, metres: float) -> bool:
    return cable.length_m >= metres - 1e-9


def _lead(
    cable: Cable,
    length_m: float,
    lack: Literal["short", "taken"] | None = None,
    spare_m: float | None = None,
) -> Lead:
    section = cable.conductor_mm2
    conductor: Conductor | Said
    if section is None:
        conductor = said("power.no_conductor", length=Figure(cable.length_m, "m"))
    else:
        try:
            conductor = conductor_of(section)
        except OutOfRange as refusal:
            conductor = said(
                "power.odd_conductor", section=Figure(section), because=cast(Said, refusal.because)
            )
    return Lead(length_m, section, conductor, lack, spare_m)


def drop_pct(lead: Lead, amperes: float, volts: float) -> float | None:
    """Volts lost in the lead as a share of the mains [%]; None where its conductor is not known."""
    if isinstance(lead.conductor, Said):
        return None
    return 100.0 * volt_drop_v(lead.length_m, lead.conductor.ohm_per_m, amperes) / volts
