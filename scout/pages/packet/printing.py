"""Printing an edition: what it is composed of, and its pages; handed to the use case as one thing."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from scout.assess.answers import Finding
from scout.calc.held import let_go
from scout.errors import Refused
from scout.packet.book import PacketResult, printed
from scout.packet.editions import book_of, print_edition
from scout.packet.names import EDITION_READERS
from scout.pages import assessing
from scout.pages.packet import crew
from scout.usecases.packets import Findings, Heading, Printer, Progress
from scout.usecases.revisions import Wanted
from scout.usecases.work import Work
from scout.values import Figure, Many, Said, said
from scout.words import Reader, line, reading
from scout.words.figures import room_name


def findings(work: Work, production_id: int, wanted: Wanted) -> Findings:
    """The lines of every setup printed, as either reader has them, by setup and finding. Raises
    Refused, before anything is worked out, for what cannot be printed.
    """
    _check_day(work, production_id, wanted)
    made: Findings = {}
    planned, *_ = crew.by_plan(work, production_id)
    room_id = None
    for one in crew.chosen(work, production_id).setups:
        if one.room_id != room_id:
            let_go()
            room_id = one.room_id
        found = assessing.assessed(crew.as_printed(work, one, planned), in_full=True)
        rows: dict[str, Any] = {}
        for finding in found.findings:
            if finding.level == "outside":
                continue
            said_to: dict[str, Any] = {"level": finding.level, "gist": gist(finding)}
            for units in ("metric", "feet"):
                with reading(Reader(units)):
                    said_to[units] = line(finding)
            key = f"{finding.code} {', '.join(repr(one) for one in finding.about)}".strip()
            while key in rows:
                key += "+"
            rows[key] = said_to
        name = str(room_name(one.room_name))
        made[f"{one.scene_name}, {name}"] = rows
    return made


OF_EVERY_FINDING = frozenset(one.name for one in fields(Finding))


def gist(value: Any) -> str:
    """What a finding says, whatever the words: its figures to three digits, names, words, times."""
    if isinstance(value, Finding):
        own = (one.name for one in fields(value) if one.name not in OF_EVERY_FINDING)
        return ", ".join(f"{name} {gist(getattr(value, name))}" for name in own)
    if isinstance(value, Figure):
        return f"{value.value:.3g} {value.unit}"
    if isinstance(value, Many):
        return f"[{'; '.join(map(gist, value.items))}]"
    if isinstance(value, Said):
        return f"{value.code}({'; '.join(f'{name} {gist(one)}' for name, one in value.values)})"
    return repr(value)


def make(
    work: Work, production_id: int, wanted: Wanted, heading: Heading, progress: Progress | None
) -> tuple[bytes, PacketResult]:
    """An edition as bytes. Raises Refused for a date on which nothing is planned."""
    _check_day(work, production_id, wanted)
    content = crew.compose(work, production_id, wanted.edition, wanted.on, heading, progress)
    work.db.rollback()
    let_go(of_all=True)  # pages are set from what was found
    return print_edition(content, progress)


def _check_day(work: Work, production_id: int, wanted: Wanted) -> None:
    """A date must be one that is planned; the owner of one of several places gets a day alone."""
    lines = crew.chosen(work, production_id).setups
    days = sorted({crew.day_of(work, one) for one in lines})
    planned = Many(tuple(said("packet.brief", on=day) for day in days), "list")
    if wanted.on is not None and wanted.on not in days:
        raise Refused("date", wanted.on.isoformat(), said("packet.no_such_day", dates=planned))
    places = {one.location_id for one in lines}
    if EDITION_READERS[wanted.edition] == "owner" and wanted.on is None and len(places) > 1:
        raise Refused("date", None, said("packet.name_a_day", dates=planned))


def _make(
    work: Work, production_id: int, wanted: Wanted, heading: Heading, progress: Progress | None
) -> tuple[bytes, PacketResult]:
    if wanted.edition != "figures":
        return make(work, production_id, wanted, heading, progress)
    from scout.packet.figures.build import figures_story
    from scout.pages.packet import figures  # what decodes sound, which no other edition needs

    form = crew.compose(work, production_id, "form", None, heading)
    content = figures.compose(work, production_id, wanted.units, progress)
    work.db.rollback()
    return printed(book_of(form), lambda desk: figures_story(desk, content, progress))


PRINTER = Printer(findings, _make)
