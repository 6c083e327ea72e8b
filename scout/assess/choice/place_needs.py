"""Needs that the place meets, or how it looks: tags, travel, permits, neighbours."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time
from typing import Any

from scout.assess.answers import unmeasured
from scout.assess.choice.cells import Case, CellLevel, NeedCell, Reading, unknown
from scout.assess.sound.hours import Shoot
from scout.calc.distance import distance_m
from scout.records.kept import LookNeed, NeighboursNeed, PermitNeed, TravelNeed
from scout.values import Figure, Said, Spell, names, said

DAY_MIN = 24 * 60
PERMIT_DAYS = (0.0, 60.0)  # where nobody asked (common practice)


def same_tag(tag: str) -> str:
    """A tag without case and blanks round it, to be compared."""
    return " ".join(tag.split()).casefold()


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
    "look": _look,
    "travel": _travel,
    "permit": _permit,
    "neighbours": _neighbours,
}
ASKED: dict[str, Callable[[Any], Said]] = {
    "look": lambda need: said("asked.look", tags=names(need.tags, "list")),
    "travel": lambda need: said("asked.travel", away=Figure(need.km, "km")),
    "permit": lambda need: said("asked.permit", n=need.days),
    "neighbours": lambda need: said("asked.neighbours"),
}
