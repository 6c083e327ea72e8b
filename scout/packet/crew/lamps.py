"""Each light of a setup as it is set up: where, how high, which way, how far down, by which socket
and cable. The plan's table and the light page are cut from these.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scout.assess.answers import AssignmentAnswer
from scout.assess.fit.light.mending import dims, too_low
from scout.drawing.plan.sheets import roles_of, tape_lines
from scout.packet.asked import tasks
from scout.packet.content import PacketSetup
from scout.packet.setting.table import Cell
from scout.values import Figure, Many, Name, Said, Value, Word, said
from scout.words.figures import Words, figure, length, percent

NONE = "–"
ON_LINE_M = 0.05  # of the line from lens to subject: neither left nor right of it


@dataclass(frozen=True)
class Lamp:
    """One light as a crew sets it up; what is not known is a dash."""

    name: str
    role: str  # key, fill, back, other or spare
    side: Word | None  # of the picture, as the camera sees it
    stand: Words  # two tapes off the walls, outdoors from the marks
    height: Words
    tilt: Words | None
    dim: Words
    low: bool  # dimmed lower than most dimmers hold
    gels: Words
    socket: Words
    blind: bool  # nobody knows the circuit
    plug: Words  # the socket in one line
    lead: Words  # what cable to take, in one line
    cable: Words
    lacking: bool  # no cable of the kit reaches


def lamps(setup: PacketSetup) -> list[Lamp]:
    """The lights of a setup in the order of the plan's table."""
    found, power = setup.found, setup.found.power
    roles, shares = purposes(setup), dims(found.fit)
    plugged = {one.light: one for one in power.assignment}
    gels = _gels(setup)
    made = []
    for light, at in found.placements.items():
        one, share = plugged.get(light), shares.get(light)
        battery = light in power.on_battery
        blind = not battery and one is not None and one.outlet is not None and not one.circuit
        cable = None if one is None or battery else one.cable_words
        made.append(
            Lamp(
                name=light,
                role=roles[light],
                side=_side(setup, at.at_m),
                stand=_stand(setup, at.at_m),
                height=length(at.at_m[2]) or NONE,
                tilt=_tilt(at.at_m, at.aim_m),
                dim=NONE if share is None else percent(share) or NONE,
                low=too_low(share),
                gels=gels.get(light, NONE),
                socket=said("packet.by_battery") if battery else _socket(one),
                blind=blind,
                plug=_plug(one) if not battery else said("packet.battery"),
                lead=NONE if battery else _lead(one),
                cable=cable or NONE,
                lacking=one is not None and one.lead_lack is not None,
            )
        )
    return made


def purposes(setup: PacketSetup) -> dict[str, str]:
    """What each light that stands in a setup does there. One beyond key, fill and back does what
    whoever pinned it wants of it; where nobody did, it is a spare.
    """
    roles = roles_of(setup.found.fit)
    found = {}
    for light, at in setup.found.placements.items():
        role = roles.get(light, "other")
        found[light] = "spare" if role == "other" and at.source != "pinned" else role
    return found


def called(lamp: Lamp) -> Cell:
    """Its name, and what it does where it is called otherwise."""
    more = "" if lamp.role == lamp.name else Word("part", lamp.role)
    return Cell(Name(lamp.name), bold=True, more=more)


def _plug(one: AssignmentAnswer | None) -> Words:
    if one is None or one.outlet is None:
        return NONE
    circuit = Name(one.circuit) if one.circuit else said("packet.circuit_blind")
    return said("drawing.socket_on", socket=Name(one.outlet), circuit=circuit)


def _lead(one: AssignmentAnswer | None) -> Words:
    """The cable of the kit, or the next one sold, to be brought."""
    if one is None or one.cable_m is None:
        return NONE
    if one.lead_m is not None:
        return said("packet.take_lead", lead=Figure(one.lead_m, "m"))
    return said("packet.bring_lead", lead=Figure(one.cable_m, "m"))


def _socket(one: AssignmentAnswer | None) -> Words:
    if one is None or one.outlet is None:
        return NONE
    if not one.circuit:
        return said("packet.socket_blind", socket=Name(one.outlet))
    return said("drawing.socket_on", socket=Name(one.outlet), circuit=Name(one.circuit))


def _gels(setup: PacketSetup) -> dict[str, Words]:
    """The gels that the acts put on each light."""
    found: dict[str, dict[Value, None]] = {}
    for one in tasks([setup], "light"):
        values = dict(one.act.values)
        gels, lights = values.get("gels"), values.get("lights") or values.get("light")
        if one.act.code not in ("gel.light", "key.daylight") or not isinstance(gels, Many):
            continue
        named = lights.items if isinstance(lights, Many) else (lights,)
        for light in named:
            if isinstance(light, Name):
                found.setdefault(light.text, {}).update(dict.fromkeys(gels.items))
    return {light: Many(tuple(gels), "list") for light, gels in found.items()}


def _stand(setup: PacketSetup, at_m: Sequence[float]) -> Words:
    """Two tapes: square off two walls as on the plan, else from the subject's and the camera's place
    along the floor.
    """
    tapes = tape_lines(setup.sheet.room, at_m)
    parts: list[Said] = [
        said("packet.tape_brief", length=_tape(one.distance_m), wall=Name(one.wall))
        for one in tapes
    ]
    if not parts:
        marks = setup.sheet.marks
        places = (
            ("subject", None if marks is None else marks.subject),
            ("camera", setup.found.fit.camera_m),
        )
        parts = [
            said("packet.tape_from", mark=Word("mark", mark), away=_along(at_m, place))
            for mark, place in places
            if place is not None
        ]
    return Many(tuple(parts), "list") if parts else NONE


def _tape(distance_m: float) -> Name:
    return Name(figure(distance_m, "m", "size,exact,bare") or NONE)


def _along(at_m: Sequence[float], place: Sequence[float]) -> Figure:
    return Figure(math.dist(at_m[:2], place[:2]), "m")


def _side(setup: PacketSetup, at_m: Sequence[float]) -> Word | None:
    """The side of the picture on which a light stands; None on the line of the lens."""
    marks, camera = setup.sheet.marks, setup.found.fit.camera_m
    if marks is None or marks.subject is None or camera is None:
        return None
    ahead = marks.subject[0] - camera[0], marks.subject[1] - camera[1]
    away = at_m[0] - camera[0], at_m[1] - camera[1]
    left = ahead[0] * away[1] - ahead[1] * away[0]
    if abs(left) <= ON_LINE_M * math.hypot(*ahead):
        return None
    return Word("side", "left" if left > 0 else "right")


def _tilt(at_m: Sequence[float], aim_m: Sequence[float] | None) -> Words | None:
    if aim_m is None:
        return None
    tilt = math.degrees(math.atan2(at_m[2] - aim_m[2], math.dist(at_m[:2], aim_m[:2])))
    if abs(tilt) < 0.5:
        return said("packet.level")
    steep = Figure(abs(tilt), "deg")
    return said("packet.down", tilt=steep) if tilt > 0 else said("packet.up", tilt=steep)
