"""Which pages an edition has and who reads it: one content, several readers."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Literal, cast

from reportlab.platypus import CondPageBreak, PageBreak
from reportlab.platypus.flowables import Flowable

from scout.packet.blocks import Desk, Section
from scout.packet.book import Book, PacketResult, Progress, printed
from scout.packet.content import PacketContent
from scout.packet.crew.carrying import carry_sheet
from scout.packet.crew.contact import contact_sheet, photos_left
from scout.packet.crew.day import day_sheet
from scout.packet.crew.form import form_pages
from scout.packet.crew.front import Sheet, front
from scout.packet.crew.last import last_page
from scout.packet.crew.owner import owner_pages
from scout.packet.crew.room import below_plan, decide_page, place_page, reserve_half
from scout.packet.crew.running import to_ring
from scout.packet.crew.sheets import (
    camera_sheet,
    light_sheet,
    sound_sheet,
)
from scout.packet.crew.signing import production_sheet
from scout.packet.names import EDITIONS, EditionName
from scout.values import Name, said
from scout.words.figures import Words

Part = Literal[
    "front",
    "days",
    "decide",
    "place",
    "reserves",
    "photos",
    "camera",
    "light",
    "sound",
    "carry",
    "production",
    "last",
    "owner",
    "form",
]


@dataclass(frozen=True)
class Edition:
    """Its pages in their order."""

    parts: tuple[Part, ...]
    one_day: bool = False  # printed for a date, if one is named


# A person carries the front, the day sheets, the plans to set up by and their own page.
CONTENTS: dict[EditionName, Edition] = {
    "whole": Edition(
        (
            "front",
            "days",
            "decide",
            "place",
            "reserves",
            "photos",
            "camera",
            "light",
            "sound",
            "carry",
            "production",
            "last",
        )
    ),
    "day": Edition(("front", "days", "decide", "place", "carry", "last"), one_day=True),
    "camera": Edition(("front", "days", "place", "camera", "last")),
    "light": Edition(("front", "days", "place", "light", "last")),
    "sound": Edition(("front", "days", "place", "sound", "last")),
    "carry": Edition(("front", "days", "carry", "last")),
    **{  # of one person with two trades: what the signs mean is in the whole packet
        name: Edition(("front", "days", "place", *cast(tuple[Part, ...], tuple(name.split("+")))))
        for name in EDITIONS
        if "+" in name
    },
    "production": Edition(("front", "days", "reserves", "photos", "production", "last")),
    "owner": Edition(("owner",), one_day=True),
    "form": Edition(("form",)),
    "figures": Edition(()),
}
SHEETS: tuple[Sheet, ...] = ("camera", "light", "sound", "carry", "production", "last")
DRAWN: frozenset[Part] = frozenset(("decide", "place", "reserves"))  # pages with a plan on them
_Make = Callable[[Desk], list[Flowable]]


def print_edition(
    content: PacketContent, progress: Progress | None = None
) -> tuple[bytes, PacketResult]:
    """An edition of the crew's packet as bytes."""
    return printed(book_of(content), lambda desk: _story(desk, content, progress))


def book_of(content: PacketContent) -> Book:
    """What is the same on every page."""
    production = content.production
    title = Name(production.title)
    revision = said("packet.revision", n=content.revision)
    ring = to_ring(content)
    named = [production.title, production.client or ""]
    named += [text for day in content.days for text in (day.place.name, day.place.address or "")]
    named += [setup.room or "" for setup in content.every_setup]
    return Book(
        title=str(said("packet.title", title=title, revision=revision)),
        subject=str(said("packet.subject", title=title, at=content.printed)),
        author=content.prepared_by or "Sillbook",
        short=production.title,
        revision=str(said("packet.rev", n=content.revision)),
        paper=content.paper,
        ring=None if ring is None else (str(ring[0]), ring[1]),
        names=named,
        known=content.known_lines,
        known_pages=content.known_pages,
    )


def _story(desk: Desk, content: PacketContent, progress: Progress | None) -> list[Flowable]:
    parts = list(_parts(content))
    story: list[Flowable] = []
    for done, (what, make) in enumerate(parts):
        if progress:
            progress(done, len(parts))
        made = desk.guarded(said("packet.page_of", section=Name(str(what))), partial(make, desk))
        story += (
            made if len(made) != 1 else [*desk.begin(Section(str(what), str(what), 0), ""), *made]
        )
    if progress:
        progress(len(parts), len(parts))
    while story and isinstance(story[0], (PageBreak, CondPageBreak)):
        story.pop(0)  # the first page is there already
    return story


def _parts(content: PacketContent) -> Iterator[tuple[Words, _Make]]:
    """What is printed, in its order, each with a name for when it cannot be."""
    parts = CONTENTS[content.edition].parts  # type: ignore[index]
    simple: dict[Part, Callable[..., list[Flowable]]] = {
        "front": partial(
            front, sheets=[one for one in SHEETS if one in parts], rooms="decide" in parts
        ),
        "photos": partial(contact_sheet, shown_already="decide" in parts),
        "camera": camera_sheet,
        "light": light_sheet,
        "sound": sound_sheet,
        "carry": carry_sheet,
        "production": production_sheet,
        "last": partial(last_page, plans=not DRAWN.isdisjoint(parts)),
        "owner": owner_pages,
        "form": form_pages,
    }
    for part in parts:
        if part == "photos" and not (
            photos_left(content, "decide" in parts)
            or any(day.photos for day in content.days)  # one may find no room on its day's page
        ):
            continue
        if part in simple:
            yield part, partial(simple[part], content=content)
        elif part == "days":
            for day in content.days:
                name = said("packet.day_at", on=day.date, place=Name(day.place.name))
                yield name, partial(day_sheet, content=content, day=day)
        elif part == "reserves":
            for one in content.reserves:
                yield (
                    Name(one.sheet.room.name or ""),
                    partial(reserve_half, content=content, one=one),
                )
        elif part in ("decide", "place") and not (part == "place" and "decide" in parts):
            for day in content.days:
                for setup in day.setups:
                    name_of = Name(setup.room or "")
                    if part == "decide":
                        yield name_of, partial(decide_page, content=content, day=day, setup=setup)
                    if setup.plan is not None or setup.found.placements or below_plan(setup):
                        yield name_of, partial(place_page, content=content, day=day, setup=setup)
