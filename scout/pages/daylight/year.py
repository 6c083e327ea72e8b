"""A room's year at a mark: direct sun and enough light, date by date, as carpets and as tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from scout.assess.daylight.sun.year import (
    YearCarpet,
    year_carpet,
)
from scout.drawing.charts import carpet as carpets
from scout.drawing.shapes import Drawing
from scout.pages import assessing
from scout.pages.daylight.wanted import Sheet, way_of
from scout.store.queries import places as queries
from scout.usecases import lines
from scout.usecases.work import Work
from scout.values import Figure, Name, Said, Word, names, said

CARPET_MIN = 10
MOST_LAYERS = 6


@dataclass(frozen=True)
class YearPicture:
    """A year at a mark: its figures, and its carpets drawn (None when nothing could be worked out,
    or there is no window).
    """

    figures: YearCarpet
    drawing: Drawing | None
    windows: Drawing | None = None


def year(
    work: Work,
    room_id: int,
    of: int,
    *,
    mark: str = "subject",
    marked: Sequence[date] = (),
    production_id: int | None = None,
    wanted: Sheet | None = None,
) -> YearPicture:
    """The carpet of a year: direct sun on the mark, enough light under an overcast and a clear sky.
    Raises NotFound, Refused.
    """
    wanted = wanted or Sheet()
    row = queries.room(work.db, room_id)
    made = assessing.sheet(work, room_id, production_id)
    found = year_carpet(made, of, mark=mark, way=way_of(mark), step_min=CARPET_MIN)
    name = lines.room_name(row)
    return YearPicture(
        found, draw_year(name, found, marked, wanted), draw_windows(name, found, marked, wanted)
    )


def draw_year(
    name: str,
    found: YearCarpet,
    marked: Sequence[date],
    wanted: Sheet,
    size_mm: tuple[float, float] | None = None,
) -> Drawing | None:
    """A year's figures as a carpet of the given breadth and height."""
    if found.up is None:
        return None
    asked = (
        (said("year.sun_on_mark", mark=Word("mark", found.mark)), found.sun_on_mark),
        (said("year.enough_overcast"), found.enough_overcast),
        (said("year.enough_clear"), found.enough_clear),
    )
    layers = tuple(carpets.Layer(words, cells) for words, cells in asked if cells is not None)
    needed = said("year.needed_unknown")
    if found.needed_lux is not None:
        camera = way_of(found.mark) == "camera"
        plane = Word("plane", "camera" if camera else "level")
        needed = said("year.needed", light=Figure(found.needed_lux, "lux"), plane=plane)
    width, height = size_mm or (wanted.size_mm[0], 110.0)
    return carpets.year_carpet(
        str(
            said(
                "year.title",
                room=Name(name),
                mark=Word("mark", found.mark),
                year=Name(str(found.year)),
            )
        ),
        carpets.Carpet(found.dates, ~found.up, layers),
        marked=[at for at in marked if at.year == found.year],
        notes=[str(needed), str(said("year.means"))],
        width_mm=width,
        height_mm=height,
        **wanted.letters,
    )


def draw_windows(
    name: str, found: YearCarpet, marked: Sequence[date], wanted: Sheet
) -> Drawing | None:
    """Direct sun in every window over the year; windows with the same sun share a hatch."""
    if found.up is None or not found.sun_in:
        return None
    by_cells: dict[bytes, list[str]] = {}
    for window, cells in found.sun_in.items():
        by_cells.setdefault(np.packbits(cells).tobytes(), []).append(window)
    groups = list(by_cells.values())
    layers = tuple(
        carpets.Layer(said("year.sun_in", windows=names(alike, "list")), found.sun_in[alike[0]])
        for alike in groups[:MOST_LAYERS]
    )
    rest = [window for alike in groups[MOST_LAYERS:] for window in alike]
    notes = [str(said("year.clear_glass"))]
    if rest:
        notes.append(str(said("year.not_drawn", windows=names(rest, "list"))))
    return carpets.year_carpet(
        str(said("year.windows_title", room=Name(name), year=Name(str(found.year)))),
        carpets.Carpet(found.dates, ~found.up, layers),
        marked=[at for at in marked if at.year == found.year],
        notes=notes,
        width_mm=wanted.size_mm[0],
        height_mm=110.0,
        **wanted.letters,
    )


def month_words(found: YearCarpet) -> tuple[tuple[Said, tuple[tuple[str, str], ...]], ...]:
    """The carpet's answers as tables: for each question, the middle of each month and its spells."""
    asked = [
        (said("year.month.sun", mark=Word("mark", found.mark)), found.sun_on_mark),
        (said("year.month.overcast"), found.enough_overcast),
        (said("year.month.clear"), found.enough_clear),
        *(
            (said("year.month.sun_in", window=Name(window)), cells)
            for window, cells in found.sun_in.items()
        ),
    ]
    dark = np.zeros((len(found.dates), 1), dtype=bool) if found.up is None else ~found.up
    frame = carpets.Carpet(found.dates, dark, ())
    return tuple(
        (words, carpets.month_spells(frame, cells)) for words, cells in asked if cells is not None
    )
