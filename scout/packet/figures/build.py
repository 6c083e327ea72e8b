"""The edition of figures: everything worked out of every room, for those who ask."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from reportlab.platypus.flowables import Flowable

from scout.packet.blocks import Desk, Section
from scout.packet.book import Progress
from scout.packet.figures.assumptions import Pending
from scout.packet.figures.comparison import comparison_pages
from scout.packet.figures.content import FiguresContent
from scout.packet.figures.contents import contents
from scout.packet.figures.room.pages import room_pages, room_title
from scout.packet.setting.clean import one_line
from scout.values import Name, said
from scout.words.figures import Words

_Make = Callable[[Desk], list[Flowable]]


def figures_story(
    desk: Desk, content: FiguresContent, progress: Progress | None = None
) -> list[Flowable]:
    """Its pages: contents, rooms, comparisons, what the figures assume."""
    parts = list(_sections(content))
    told = progress or (lambda done, all_of_them: None)
    told(0, len(parts))
    story = contents(desk, content, [section for section, _ in parts])
    for done, (section, make) in enumerate(parts, start=1):
        story += _part(desk, section, make)
        told(done, len(parts))
    return story


def _part(desk: Desk, section: Section, make: _Make) -> list[Flowable]:
    page = said("packet.page_of", section=Name(section.title[:120]))
    made = desk.guarded(page, partial(make, desk))
    return made if len(made) > 1 else [*desk.begin(section, ""), *made]


def _sections(content: FiguresContent) -> Iterator[tuple[Section, _Make]]:
    number = 0

    def section(title: Words, level: int) -> Section:
        nonlocal number
        number += 1
        return Section(f"s{number}", one_line(str(title)) or "Without a name", level)

    for location in content.locations:
        for room in location.rooms:
            entry = section(room_title(room), 0)
            yield (
                entry,
                partial(room_pages, section=entry, room=room, location_name=location.record.name),
            )
    for at, compared in enumerate(content.comparisons):
        entry = section(said("packet.comparison", scene=Name(compared.scene.name)), 0)
        yield entry, partial(comparison_pages, section=entry, compared=compared, first=at == 0)
    if content.measured_rooms > 1:
        entry = section("What the figures assume", 0)
        yield entry, partial(assumption_pages, section=entry)


def assumption_pages(desk: Desk, section: Section) -> list[Flowable]:
    """What the figures of several rooms assume, once."""
    return [*desk.begin(section, "For every room, or for the rooms named", 250.0), Pending(None)]
