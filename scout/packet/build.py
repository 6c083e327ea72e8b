"""The packet: content in, one PDF out, written whole or not at all."""

from __future__ import annotations

import io
import os
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

from reportlab import rl_config
from reportlab.lib.pagesizes import A4, letter
from reportlab.lib.units import mm
from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate
from reportlab.platypus.flowables import Flowable

from scout.packet.assumptions import Pending
from scout.packet.blocks import Desk, Section, printable
from scout.packet.cautions import caution_pages, general_cautions
from scout.packet.comparison import comparison_pages
from scout.packet.content import PacketContent, Paper
from scout.packet.cover import contents, cover
from scout.packet.kit_list import asked_for, kit_pages
from scout.packet.locations import location_pages
from scout.packet.room.pages import room_pages, room_title
from scout.packet.setting.canvas import PacketCanvas
from scout.packet.setting.clean import one_line
from scout.packet.setting.fonts import Key
from scout.packet.setting.shape import TypeCase, han_order
from scout.packet.setting.text import INK, QUIET, Typesetter, paint
from scout.values import Name, said
from scout.words import current, reading
from scout.words.figures import Words

PAPERS: dict[Paper, tuple[float, float]] = {"a4": A4, "letter": letter}
SIDE, HEAD, FOOT = 15 * mm, 15 * mm, 18 * mm
# What a drawing may take on either paper, for whoever makes the drawings of a packet: beside it
# other things stand on the page when it is
# no higher than PLAN_HEIGHT_MM, and PLAN_MOST_MM is all that Letter has under a heading.
DRAWING_WIDTH_MM = 170.0
PLAN_HEIGHT_MM = 150.0
PLAN_MOST_MM = 205.0

Progress = Callable[[int, int], None]  # (sections done, sections in all)
_Make = Callable[[Desk], list[Flowable]]


@dataclass(frozen=True)
class PacketResult:
    """What was written. `warnings` are plain sentences that also stand in the packet where
    something is missing.
    """

    pages: int
    bytes: int
    warnings: tuple[str, ...]


def build_packet(
    content: PacketContent, out: Path, *, progress: Progress | None = None
) -> PacketResult:
    """Write the packet to `out`; a packet that stood there stays whole until the new one is
    complete.

    Raises: Unavailable when the fonts that belong to the program are missing; OSError when
        `out` cannot be written.
    """
    body, result = render_packet(content, progress=progress)
    write_whole(out, body)
    return result


def render_packet(
    content: PacketContent, *, progress: Progress | None = None
) -> tuple[bytes, PacketResult]:
    """The packet as bytes, said for who reads in its units."""
    with reading(replace(current(), units=content.units)):
        return _rendered(content, progress)


def _rendered(content: PacketContent, progress: Progress | None) -> tuple[bytes, PacketResult]:
    size = PAPERS[content.paper]
    case = TypeCase(_han_of(content))
    setter = Typesetter(case)
    frame = Frame(
        SIDE,
        FOOT,
        size[0] - 2 * SIDE,
        size[1] - HEAD - FOOT,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
        id="column",
    )
    desk = Desk(setter, size[0] - 2 * SIDE, size[1] - HEAD - FOOT)
    story = _story(desk, content, progress)
    running = _Running(setter, content, size)
    title = Name(content.production.title)
    held = io.BytesIO()
    document = BaseDocTemplate(
        held,
        pagesize=size,
        title=printable(str(said("packet.title", title=title, revision=content.revision))),
        author=printable(content.prepared_by or "Sillbook"),
        subject=printable(str(said("packet.subject", title=title, at=content.generated_at))),
        creator="Sillbook",
        keywords="crew packet",
        lang=current().language,
    )
    document.addPageTemplates(PageTemplate(id="page", frames=[frame], pagesize=size))
    made: list[PacketCanvas] = []

    def paged(*args: Any, **kwargs: Any) -> PacketCanvas:
        made.append(PacketCanvas(*args, case=case, finish=running.finish, **kwargs))
        made[-1].setViewerPreference("DisplayDocTitle", "true")
        return made[-1]

    document.build(story, canvasmaker=paged)
    body = held.getvalue()
    return body, PacketResult(
        running.pages, len(body), tuple(dict.fromkeys([*desk.warnings, *running.boxes]))
    )


def _story(desk: Desk, content: PacketContent, progress: Progress | None) -> list[Flowable]:
    parts = list(_sections(content))
    told = progress or (lambda done, all_of_them: None)
    told(0, len(parts))
    story = desk.guarded("The cover", lambda: cover(desk, content))
    story += contents(desk, [section for section, _ in parts])
    for done, (section, make) in enumerate(parts, start=1):
        story += _part(desk, section, make)
        told(done, len(parts))
    return desk.settled(story)


def _part(desk: Desk, section: Section, make: _Make) -> list[Flowable]:
    page = said("packet.page_of", section=Name(section.title[:120]))
    made = desk.guarded(page, partial(make, desk))
    return made if len(made) > 1 else [*desk.begin(section, ""), *made]


def _sections(content: PacketContent) -> Iterator[tuple[Section, _Make]]:
    number = 0

    def section(title: Words, level: int) -> Section:
        nonlocal number
        number += 1
        return Section(f"s{number}", one_line(str(title)) or "Without a name", level)

    general = frozenset(general_cautions(content))
    for location in content.locations:
        entry = section(location.record.name, 0)
        yield entry, partial(location_pages, section=entry, location=location)
        for room in location.rooms:
            entry = section(room_title(room), 1)
            yield (
                entry,
                partial(
                    room_pages,
                    section=entry,
                    room=room,
                    location_name=location.record.name,
                    general=general,
                ),
            )
    for at, compared in enumerate(content.comparisons):
        entry = section(said("packet.comparison", scene=Name(compared.scene.name)), 0)
        yield entry, partial(comparison_pages, section=entry, compared=compared, first=at == 0)
    if content.production.kit is not None or asked_for(content):
        entry = section("Kit", 0)
        yield entry, partial(kit_pages, section=entry, content=content)
    if (
        sum(
            room.assessment is not None for location in content.locations for room in location.rooms
        )
        > 1
    ):
        entry = section("What the figures assume", 0)
        yield entry, partial(assumption_pages, section=entry)
    entry = section("Cautions", 0)
    yield entry, partial(caution_pages, section=entry, content=content)


def assumption_pages(desk: Desk, section: Section) -> list[Flowable]:
    """What the figures of several rooms assume, once."""
    return [*desk.begin(section, "For every room, or for the rooms named", 250.0), Pending(None)]


def _han_of(content: PacketContent) -> tuple[Key, ...]:
    """In which shape ideographs are drawn where nothing beside them tells: the names in the whole
    packet decide.
    """
    named = [content.production.title, content.production.client or ""]
    named += [
        text for one in content.locations for text in (one.record.name, one.record.address or "")
    ]
    named += [room.room.name or "" for one in content.locations for room in one.rooms]
    return han_order("\n".join(named))


class _Running:
    """Head and foot of every page, written when the number of pages is known."""

    def __init__(
        self, setter: Typesetter, content: PacketContent, size: tuple[float, float]
    ) -> None:
        self.setter, self.content, self.size = setter, content, size
        self.pages = 0
        self.boxes: list[str] = []

    def finish(self, canvas: PacketCanvas, page: int, pages: int) -> None:
        self.pages = pages
        width, height = self.size
        left, right = SIDE, width - SIDE
        half = (right - left) / 2 - 10
        if page > 1:
            self._line(canvas, left, height - HEAD + 12, right)
            self.setter.draw(
                canvas,
                left,
                height - HEAD + 16,
                one_line(self.content.production.title),
                QUIET,
                half,
            )
            here = [place for place in canvas.places.values() if place.page <= page]
            if here:
                last = max(here, key=lambda place: place.page)
                self.setter.draw(
                    canvas, right, height - HEAD + 16, last.title, replace(QUIET, align="end"), half
                )
        self._line(canvas, left, FOOT - 24, right)
        self.setter.draw(
            canvas,
            left,
            FOOT - 35,
            one_line(f"{self.content.revision} · {self.content.generated_at}"),
            QUIET,
            half,
        )
        self.setter.draw(
            canvas,
            right,
            FOOT - 35,
            str(said("packet.page", page=page, pages=pages)),
            replace(QUIET, colour=INK, align="end"),
        )
        note = self.setter.case.boxes_note(page)
        if note:
            self.boxes.append(note)
            y = FOOT - 10
            for line in self.setter.lines(note, QUIET, right - left)[:2]:
                paint(canvas, self.setter.case, line, left, y, QUIET)
                y -= QUIET.leading

    @staticmethod
    def _line(canvas: PacketCanvas, left: float, y: float, right: float) -> None:
        canvas.saveState()
        canvas.setStrokeColorRGB(*INK)
        canvas.setLineWidth(0.35)
        canvas.line(left, y, right, y)
        canvas.restoreState()


def write_whole(out: Path, body: bytes) -> None:
    """Write a file so that after a crash there is the old one or the new one, never half of it."""
    out.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=f".{out.name}.", suffix=".part", dir=out.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(body)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(out)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    if hasattr(os, "O_DIRECTORY"):
        folder = os.open(out.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


rl_config.useA85 = 0  # streams as bytes, not as letters: a quarter smaller
