"""What would mend a power plan, each act worked out again on the sheet changed by it: one that does
not bring its figure down is not offered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from scout.assess.answers import (
    Act,
    Change,
    Placement,
    PowerAnswer,
    Unplaced,
    act,
)
from scout.assess.answers.finding import MOST_ACTS
from scout.assess.power.power import power
from scout.calc.power.drop import BRANCH_PCT
from scout.calc.power.packing import TOLERANCE
from scout.calc.power.run import sold_m
from scout.records.kit import Cable, Kit
from scout.records.sheet import RoomSheet
from scout.values import Figure, Many, Name, Unit, names, said

ON_MAINS_ALONE = ("tungsten",)
DRY_STEP_PCT = 0.1  # a volt drop that falls by less has not been mended
THICKER_MM2 = (1.5, 2.5, 4.0, 6.0)  # sections that leads are sold in (common practice)


@dataclass(frozen=True)
class Case:
    sheet: RoomSheet
    answer: PowerAnswer
    placements: Mapping[str, Placement]

    @property
    def kit(self) -> Kit:
        return self.sheet.kit or Kit()

    def again(self, **kit: Any) -> PowerAnswer:
        """The answer with another kit."""
        changed = self.kit.model_copy(update=kit)
        return power(self.sheet.model_copy(update={"kit": changed}), self.placements)

    def rewired(self, **room: Any) -> PowerAnswer:
        """The answer with other circuits or outlets."""
        changed = self.sheet.room.model_copy(update=room)
        return power(self.sheet.model_copy(update={"room": changed}), self.placements)

    def mains_lights(self, wanted: Iterable[str]) -> list[str]:
        """Of some loads, the lights that could run on batteries: no charger, and no tungsten, for
        which none is to be had (common practice).
        """
        own = {light.id for light in self.kit.lights or () if light.spectrum not in ON_MAINS_ALONE}
        return [name for name in wanted if name in own]


def amperes(value: float) -> Figure:
    return Figure(value, "A")


def percent(value: float) -> Figure:
    return Figure(100.0 * value, "%")


@dataclass(frozen=True)
class Gauge:
    """A figure that acts are to bring down; by `least` or less it has not moved."""

    figure: str
    unit: Unit
    measured: Callable[[PowerAnswer], float]
    least: float = 0.0

    def bought(self, case: Case, changed: PowerAnswer) -> Change | None:
        """What a change buys; None where the figure does not fall."""
        before, after = self.measured(case.answer), self.measured(changed)
        moved = before - after > self.least
        return Change(self.figure, self.unit, before, after) if moved else None


SOCKETS = Gauge("without_socket", "count", lambda answer: float(len(answer.unplaced)))
EXITS = Gauge(
    "exits_crossed", "count", lambda answer: float(sum(len(row.exits) for row in answer.assignment))
)
WITHOUT_LEAD = Gauge(
    "without_lead",
    "count",
    lambda answer: float(sum(row.lead_lack is not None for row in answer.assignment)),
)
FULLEST = Gauge(
    "share",
    "%",
    lambda answer: 100.0 * max((row.share or 0.0 for row in answer.circuits), default=0.0),
    1.0,
)


def off_exits(case: Case, wanted: Sequence[str]) -> tuple[Act, ...]:
    """The act of batteries for the lights whose leads cross exits, with those that would cross one
    at the sockets which these leave free.
    """
    lights = case.mains_lights(wanted)
    while True:
        found, changed = _with_batteries(case, lights, EXITS)
        rows = changed.assignment if changed is not None else ()
        more = [row.light for row in rows if row.exits and row.light not in lights]
        if not case.mains_lights(more):
            return tuple(found)
        lights += case.mains_lights(more)


def on_batteries(case: Case, wanted: Iterable[str], gauge: Gauge) -> list[Act]:
    """The act of running some loads on batteries, where it helps."""
    return _with_batteries(case, case.mains_lights(wanted), gauge)[0]


def _with_batteries(
    case: Case, lights: Sequence[str], gauge: Gauge
) -> tuple[list[Act], PowerAnswer | None]:
    """The act, where it helps, and the answer with these lights on batteries."""
    if not lights:
        return [], None
    kit_lights = [
        light.model_copy(update={"supply": "battery"}) if light.id in lights else light
        for light in case.kit.lights or ()
    ]
    changed = case.again(lights=tuple(kit_lights))
    buys = gauge.bought(case, changed)
    acts = [] if buys is None else [act("bring.battery", lights=names(lights), buys=buys)]
    return acts, changed


def _smaller(case: Case, row: Unplaced) -> list[Act]:
    """The act of taking a smaller light, where it lets everything in."""
    if row.instead is None or row.fits_va is None:
        return []
    lights = [
        light.model_copy(update={"watts": row.fits_va, "power_factor": 1.0})
        if light.id == row.instead
        else light
        for light in case.kit.lights or ()
    ]
    buys = SOCKETS.bought(case, case.again(lights=tuple(lights)))
    if buys is None:
        return []
    most = Figure(row.fits_va, "VA")
    return [act("swap.light", light=Name(row.instead), most=most, buys=buys)]


def freed(case: Case, circuit: str, spare_a: float, gauge: Gauge) -> list[Act]:
    """The act of switching off what else hangs on a circuit, where there is so much on it."""
    rows = case.sheet.room.circuits or ()
    own = next((row for row in rows if row.id == circuit), None)
    if own is None or own.volts is None or not own.other_load_w:
        return []
    watts = spare_a * own.volts
    if watts > own.other_load_w * (1 + TOLERANCE):
        return []
    circuits = tuple(
        row.model_copy(update={"other_load_w": max(0.0, own.other_load_w - watts)})
        if row is own
        else row
        for row in rows
    )
    buys = gauge.bought(case, case.rewired(circuits=circuits))
    if buys is None:
        return []
    return [act("free.circuit", circuit=Name(circuit), watts=Figure(watts, "W"), buys=buys)]


def ways_in(case: Case, rows: Sequence[Unplaced]) -> dict[str, Any]:
    """What would let lights in that were left out, what touches least first: where one act lets all
    of them in it is the act, and the others could be done instead.
    """
    acts: list[Act] = []
    if len(rows) == 1:
        (row,) = rows
        acts += _smaller(case, row)
        if row.circuit is not None and row.short_a is not None and row.why == "current":
            acts += freed(case, row.circuit, row.short_a, SOCKETS)
    spare = rows[0].spare_circuit
    if spare is not None:
        acts += _split(case, spare, len(rows))
    acts += on_batteries(case, [row.light for row in rows], SOCKETS)
    acts = acts[:MOST_ACTS]
    left = len(case.answer.unplaced) - len(rows)  # for another reason
    enough = next((one for one in acts if one.buys and one.buys.after <= left), None)
    if enough is None:
        return {"acts": tuple(acts)}
    return {"acts": (enough,), "instead": tuple(one for one in acts if one is not enough)}


def _split(case: Case, circuit: str, more: int) -> list[Act]:
    """The act of a fused splitter on a circuit that has current to spare and no socket."""
    outlets = case.sheet.room.outlets or ()
    on_it = next((outlet for outlet in outlets if outlet.circuit == circuit), None)
    split = tuple(
        outlet.model_copy(update={"sockets": (outlet.sockets or 1) + more})
        if outlet is on_it
        else outlet
        for outlet in outlets
    )
    changed = case.rewired(outlets=split)
    buys = SOCKETS.bought(case, changed)
    if buys is None:
        return []
    return [
        act("bring.splitter", circuit=Name(circuit), leads=_leads_more(case, changed), buys=buys)
    ]


def _leads_more(case: Case, changed: PowerAnswer) -> Many | None:
    """The leads that a changed plan lacks and this one does not: they are brought with the change."""
    lacking = {row.light for row in case.answer.assignment if row.lead_lack is not None}
    by_length: dict[float, dict[str, float]] = {}
    for row in changed.assignment:
        if row.lead_lack is not None and row.cable_m is not None and row.light not in lacking:
            by_length.setdefault(sold_m(row.cable_m), {})[row.light] = row.cable_m
    told = [
        said("power.leads_for", lead=Figure(max(needs.values()), "m"), lights=names(needs))
        for _, needs in sorted(by_length.items())
    ]
    return Many(tuple(told), "list") if told else None


def thicker(case: Case, light: str, need_m: float, section_mm2: float) -> list[Act]:
    """The act of bringing a thicker lead, just long enough: the thinnest that keeps to the
    guidance, else the thickest.
    """

    def drop(answer: PowerAnswer) -> float:
        rows = (row for row in answer.assignment if row.light == light)
        return next(rows).volt_drop_pct or 0.0

    gauge = Gauge("drop", "%", drop, DRY_STEP_PCT)
    best: Act | None = None
    length_m = sold_m(need_m)
    for section in THICKER_MM2:
        if section < section_mm2 * (1 - TOLERANCE):
            continue
        alone = tuple(
            Cable(length_m=length_m, conductor_mm2=section) for _ in case.answer.assignment
        )
        longer = tuple(cable for cable in case.kit.cables or () if cable.length_m > length_m)
        buys = gauge.bought(case, case.again(cables=(*alone, *longer)))
        if buys is not None:
            best = act(
                "bring.cable",
                light=Name(light),
                lead=Figure(length_m, "m"),
                section=Figure(section),
                buys=buys,
            )
            if buys.after <= BRANCH_PCT:
                break
    return [] if best is None else [best]
