"""Needs that the place meets, or how it looks: opening hours, way in, fee, tags, travel, permits, neighbours."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time
from typing import Any

from scout.assess.answers import unmeasured
from scout.assess.choice.cells import (
    Case,
    CellLevel,
    NeedCell,
    Reading,
    listed,
    metres,
    money,
    unknown,
)
from scout.assess.choice.opening import open_when
from scout.assess.choice.way_in import way_in
from scout.assess.sound.hours import Shoot, noises_then
from scout.calc.distance import distance_m
from scout.records.kept import (
    AccessNeed,
    BudgetNeed,
    LookNeed,
    NeighboursNeed,
    PermitNeed,
    TravelNeed,
    WhenNeed,
)
from scout.values import Figure, Many, Name, Said, Spell, names, said

DAY_MIN = 24 * 60
PERMIT_DAYS = (0.0, 60.0)  # where nobody asked (common practice)
MOST_DATES = 6  # said one by one; more are counted


def _when_asked(need: WhenNeed) -> Said:
    begin, end = (
        time.fromisoformat(clock) if clock else None for clock in (need.from_time, need.until_time)
    )
    both = Spell(begin, end) if begin is not None and end is not None else None
    return said(
        "asked.when",
        dates=Many(tuple(need.dates[:MOST_DATES]), "list"),
        more=len(need.dates) - MOST_DATES if len(need.dates) > MOST_DATES else None,
        spell=both,
        begin=begin if both is None else None,
        end=end if both is None else None,
    )


def _access_asked(need: AccessNeed) -> Said:
    parts = []
    if need.steps is not None:
        parts.append(
            said("asked.steps", steps=need.steps) if need.steps else said("asked.no_steps")
        )
    if need.carry_m is not None:
        parts.append(said("asked.carry", carry=Figure(need.carry_m, "m")))
    if need.door_width_m is not None:
        parts.append(said("asked.door", width=Figure(need.door_width_m, "m")))
    if need.step_free:
        parts.append(said("asked.step_free"))
    return said("asked.access", parts=Many(tuple(parts), "list"))


def same_tag(tag: str) -> str:
    """A tag without case and blanks round it, to be compared."""
    return " ".join(tag.split()).casefold()


def _when(need: WhenNeed, case: Case) -> NeedCell:
    answer = open_when(need, case.facts.location)
    noises = noises_then(Shoot.of_need(need), case.facts.noises)
    if noises is None:
        return NeedCell(answer.level, answer.figure, listed(*answer.why))
    level: CellLevel = "care" if answer.level == "pass" else answer.level
    return NeedCell(level, answer.figure, listed(*answer.why, noises.why))


def _access(need: AccessNeed, case: Case) -> NeedCell:
    way = way_in(case.facts.room, case.facts.location)
    outdoors = case.facts.room.setting == "exterior"
    figures: list[Said] = []
    faults: list[Said] = []
    missing: list[str] = []
    if need.steps is not None:
        if way.steps is None:
            missing.append(way.path("steps"))
        else:
            figures.append(said("need.steps", steps=way.steps))
            if way.steps > need.steps:
                faults.append(said("need.steps_lift") if way.lift else said("need.steps_many"))
    if need.step_free:
        if way.steps is None:
            missing.append(way.path("steps"))
        elif way.steps > 0:
            if need.steps is None:
                figures.append(said("need.steps", steps=way.steps))
            if way.lift is None:
                missing.append(way.path("lift"))
            else:
                faults.append(said("need.steps_lift") if way.lift else said("need.not_step_free"))
        elif need.steps is None:
            figures.append(said("need.step_free"))
    if need.carry_m is not None:
        if way.carry_m is None:
            missing.append(way.path("carry_m"))
        else:
            figures.append(said("need.carry", carry=metres(way.carry_m)))
            if way.carry_m > need.carry_m:
                faults.append(said("need.carry_far"))
    if need.door_width_m is not None and not outdoors:
        if way.door_width_m is None:
            missing.append(way.path("door_width_m"))
        else:
            figures.append(said("need.door", width=metres(way.door_width_m)))
            if way.door_width_m < need.door_width_m:
                faults.append(said("need.door_narrow"))
    shown = Many(tuple(figures), "list") if figures else said("need.not_recorded")
    if faults:
        lift_only = {fault.code for fault in faults} == {"need.steps_lift"}
        return NeedCell("care" if lift_only else "fail", shown, listed(*faults))
    if missing:
        return NeedCell("unknown", shown, unmeasured(*missing))
    if not figures:
        return NeedCell("outside", None, said("need.no_doors"))
    return NeedCell("pass", shown, said("need.within"))


def _budget(need: BudgetNeed, case: Case) -> NeedCell:
    place = case.facts.location
    note = Name(place.fee_note) if place.fee_note else None
    if place.fee_amount is None:
        asked = Reading.between(0.0, 2.0 * max(need.amount, 50.0))
        return NeedCell("unknown", said("need.not_recorded"), said("need.no_fee_known"), asked)
    reading = Reading.about(place.fee_amount)
    if place.fee_amount == 0:
        return NeedCell("pass", said("need.no_fee"), listed(note or said("need.free")), reading)
    figure = money(place.fee_amount, place.fee_currency)
    if place.fee_currency is None:
        return NeedCell("unknown", figure, said("need.no_currency"))
    if place.fee_currency != need.currency:
        other = said(
            "need.other_currency", fee=Name(place.fee_currency), budget=Name(need.currency)
        )
        return NeedCell("unknown", figure, other)
    over = place.fee_amount - need.amount
    if over <= 0:
        return NeedCell("pass", figure, listed(said("need.in_budget"), note), reading)
    dear = said("need.over_budget", over=money(over, need.currency))
    return NeedCell("fail", figure, listed(dear, note), reading)


def _look(need: LookNeed, case: Case) -> NeedCell:
    tags = case.facts.room.tags
    if tags is None:
        return unknown(unmeasured("room.tags"))
    there = {same_tag(tag) for tag in tags}
    missing = [tag for tag in need.tags if same_tag(tag) not in there]
    figure = names(tags, "list")
    if not missing:
        return NeedCell("pass", figure, said("need.looks_so"), order=0.0)
    why = said("need.looks_not", tags=names(missing, "list"))
    level: CellLevel = "care" if len(missing) < len(need.tags) else "fail"
    return NeedCell(level, figure, why, order=-len(missing))


def _travel(need: TravelNeed, case: Case) -> NeedCell:
    place = case.facts.location
    if place.latitude_deg is None or place.longitude_deg is None:
        return unknown(unmeasured("location.coordinates"), Reading.between(0.0, 4.0 * need.km))
    away_m = distance_m(
        need.from_latitude_deg, need.from_longitude_deg, place.latitude_deg, place.longitude_deg
    )
    away = away_m / 1000.0
    figure, why = Figure(away, "km"), said("need.as_the_crow_flies")
    return NeedCell("pass" if away <= need.km else "fail", figure, why, Reading.about(away))


def _permit(need: PermitNeed, case: Case) -> NeedCell:
    days = case.facts.location.permit_lead_days
    if days is None:
        return unknown(unmeasured("location.permit_lead_days"), Reading.between(*PERMIT_DAYS))
    figure = said("need.days", n=days)
    if days <= need.days:
        return NeedCell("pass", figure, said("need.within"), Reading.about(days))
    return NeedCell("fail", figure, said("need.permit_long"), Reading.about(days))


def _neighbours(need: NeighboursNeed, case: Case) -> NeedCell:
    place = case.facts.location
    if place.quiet_from is None or place.quiet_until is None:
        return unknown(unmeasured("location.quiet_from"))
    begin, end = time.fromisoformat(place.quiet_from), time.fromisoformat(place.quiet_until)
    if begin == end:
        return NeedCell("pass", None, said("need.no_neighbours"))
    quiet = Shoot((date.min,), begin, end).span
    spell = Spell(begin, end)
    shoots = [shoot for when in case.whens if (shoot := Shoot.of_need(when)).timed]
    if not shoots:
        return NeedCell("care", None, said("need.quiet_then", spell=spell))
    for shoot in shoots:
        for later in (-DAY_MIN, 0, DAY_MIN):
            if quiet[0] + later < shoot.span[1] and quiet[1] + later > shoot.span[0]:
                return NeedCell("fail", None, said("need.quiet_then", spell=spell))
    return NeedCell("pass", None, said("need.quiet_then", spell=spell))


JUDGES: dict[str, Callable[[Any, Case], NeedCell]] = {
    "when": _when,
    "access": _access,
    "budget": _budget,
    "look": _look,
    "travel": _travel,
    "permit": _permit,
    "neighbours": _neighbours,
}
ASKED: dict[str, Callable[[Any], Said]] = {
    "when": _when_asked,
    "access": _access_asked,
    "budget": lambda need: said("asked.budget", fee=money(need.amount, need.currency)),
    "look": lambda need: said("asked.look", tags=names(need.tags, "list")),
    "travel": lambda need: said("asked.travel", away=Figure(need.km, "km")),
    "permit": lambda need: said("asked.permit", n=need.days),
    "neighbours": lambda need: said("asked.neighbours"),
}
