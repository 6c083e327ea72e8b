"""What the templates are given beside their page: filters, globals, and who reads."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

from flask import Flask, url_for
from markupsafe import Markup

from scout.assess.choice.compare import need_words
from scout.assess.choice.opening import opening_words
from scout.assess.daylight.judged import judged_light
from scout.calc.geometry import WALL_LETTERS
from scout.packet.setting.geo import dialled, geo_uri
from scout.packet.swap import Swap, swap_said
from scout.records import Measurement
from scout.records.checks import FRAME_SLACK_M
from scout.records.parts import PARTS
from scout.records.piece_checks import SLACK_M
from scout.usecases.roles import Deed, Kind, may
from scout.usecases.shown import Kept
from scout.values import Name, Said, Spoken, Word, said
from scout.web.forms.fields import leaves, number_as_typed
from scout.web.links import field_link
from scout.web.map import library_address, tiles
from scout.web.work import asking, settings, units
from scout.words import figures, full, or_line

STATIC = Path(__file__).parent / "static"
SIGNS = {  # the four drawn signs, by the words of levels, needs and risks
    "good": "good",
    "pass": "good",
    "none": "good",
    "low": "good",
    "clean": "good",
    "usable": "good",
    "care": "care",
    "medium": "care",
    "repair": "care",
    "problem": "problem",
    "fail": "problem",
    "high": "problem",
    "unusable": "problem",
    "outside": "outside",
}


def _swapped(swap: Mapping[str, Any]) -> Said:
    """Which pages of the last print to swap, as a print keeps it."""
    return swap_said(Swap(tuple(swap["take_out"]), tuple(swap["put_in"])), swap["since"])


def _or(show: Callable[..., str | None], otherwise: Word) -> Callable[..., Any]:
    """A figure as a filter: what is not known is said so."""

    def shown(*given: Any) -> Any:
        found = show(*given)
        return otherwise if found is None else found

    return shown


NO_ACT = said("page.no_act")
NOT_MEASURED, NOT_RECORDED = Word("value", "unmeasured"), Word("value", "unrecorded")
UNKNOWN, NONE = Word("value", "missing"), Word("value", "none")


def worded(key: Any, vocabulary: str) -> Word | None:
    """A word of the sheet."""
    return None if key is None else Word(vocabulary, str(key))


@cache
def _fingerprint(name: str) -> str:
    path = STATIC / name
    return hashlib.sha256(path.read_bytes()).hexdigest()[:12]


def asset(name: str) -> str:
    """The address of a static file, which changes when the file does."""
    return url_for("static", filename=name, v=_fingerprint(name))


def typing() -> Markup:
    """For a page on which figures are typed: who reads them there, and the words of what cannot be
    read, which are the forms' own.
    """
    codes = ("no_length", "inches_over", "part_of_a_foot", "fraction", "length_too_large")
    words = {code: said(f"typed.{code}") for code in codes} | {
        "which_unit": said("typed.which_unit", offers=Name("OFFERS")),
        "no_unit": said("refused.no_unit"),
        "no_number": said("typed.no_number", accepted=said("typed.number")),
        "not_whole": said("record.not_whole"),
        "no_bearing": said("typed.no_bearing"),
    }
    told = json.dumps({code: str(one) for code, one in words.items()}, ensure_ascii=False)
    return Markup(' data-typing="{}" data-reader="{}" data-words="{}"').format(
        asset("typed.js"), units(), told
    )


def fitting() -> Markup:
    """For a page on which facts of a room are typed: what is said of those that do not fit each other,
    in the record's words; their figures are put in there.
    """
    blanks = ("wall", "length", "reach", "ceiling", "head", "one", "other")
    codes = (
        "wider",
        "reaches_past",
        "past_end",
        "above_ceiling",
        "head_above",
        "overlap",
        "outside",
        "camera_outside",
    )
    named = {name: Name(name.upper()) for name in blanks}
    found = {
        "words": {code: str(said(f"sheet.{code}", **named)) for code in codes},
        "walls": {letter: str(Word("surface", letter)) for letter in WALL_LETTERS},
        "slack_m": SLACK_M,
        "frame_m": FRAME_SLACK_M,
    }
    return Markup(' data-fitting="{}" data-fits="{}"').format(
        asset("fits.js"), json.dumps(found, ensure_ascii=False)
    )


def swatch(colour: Mapping[str, Any] | Any) -> Markup:
    """A small square of a surface's colour, as a drawing: the pages carry no inline styles."""
    fill = getattr(colour, "srgb", None)
    if not fill:
        return Markup("")
    return Markup(
        '<svg class="swatch" viewBox="0 0 20 14" aria-hidden="true"><rect width="20" height="14" fill="{}"/></svg>'
    ).format(fill)


def changed(kept: Kept[Any], timezone: str | None = None) -> Said:
    """Who changed a record last, and when."""
    return said(
        "page.changed",
        at=Name(figures.when(kept.changed_at, timezone) or ""),
        who=Name(kept.changed_by) if kept.changed_by else None,
    )


@dataclass(frozen=True)
class Measured:
    """Facts that the same person measured at the same time in the same way."""

    facts: tuple[str, ...]
    by: str | None
    at: str | None
    how: str | None
    accuracy: str | None


def groups(measurements: Iterable[Measurement]) -> list[Measured]:
    """Measurements by who, when, how and how well, the newest first."""
    found: dict[tuple[str | None, ...], list[str]] = {}
    for m in measurements:
        found.setdefault((m.by, m.at, m.how, m.accuracy), []).append(figures.fact(m.path))
    made = [Measured(tuple(dict.fromkeys(facts)), *key) for key, facts in found.items()]
    return sorted(made, key=lambda group: _instant(group.at), reverse=True)


def _instant(text: str | None) -> float:
    try:
        return datetime.fromisoformat(text).timestamp() if text else 0.0
    except (ValueError, OverflowError):
        return 0.0


def cap(value: Any) -> str:
    """With a capital first."""
    return f"{value:cap}" if isinstance(value, Spoken) else value[:1].upper() + value[1:]


def sentence(text: Any, capital: bool = True) -> str:
    """A text as a sentence: a capital first, but for a name that was typed small; a stop last."""
    if capital and isinstance(text, Spoken):
        return figures.sentence(text)
    tidy = str(text).strip()
    if capital:
        tidy = tidy[:1].upper() + tidy[1:]
    return tidy if not tidy or tidy[-1] in ".:;!?…" else f"{tidy}."


def filled(form: Mapping[str, Any], names: Iterable[str]) -> int:
    """How many fields of a form have something in them."""
    return sum(not leaf.blank for leaf in leaves(form[name] for name in names))


def gathered(*blocks: Any) -> list[str]:
    """What several blocks of an answer assume, in their order."""
    found: list[str] = []
    for block in blocks:
        if hasattr(block, "assumed"):
            found += block.assumed
        elif block is not None:
            found += gathered(*block)
    return found


def _may(deed: Deed, kind: Kind) -> bool:
    """Whether whoever reads the page may do a deed."""
    who = asking()
    return who is not None and may(who.role, deed, kind)


def register(app: Flask) -> None:
    """Give the templates their words."""
    app.jinja_env.filters.update(
        swapped=_swapped,
        dialled=dialled,
        length=_or(figures.length, NOT_MEASURED),
        distance=_or(figures.distance, NOT_MEASURED),
        area=_or(figures.area, NOT_MEASURED),
        number=_or(figures.number, NOT_MEASURED),
        figure=_or(figures.figure, NOT_MEASURED),
        plain=lambda value: number_as_typed(float(value)),
        clock=_or(figures.clock, NONE),
        when=_or(figures.when, NOT_RECORDED),
        day=figures.day,
        spells=_or(figures.spells, NONE),
        minutes=_or(figures.minutes, UNKNOWN),
        swatch=swatch,
        worded=worded,
        fact=figures.fact,
        changed=changed,
        need=need_words,
        sentence=sentence,
        cap=cap,
        full=full,
        or_line=or_line,
        opening=opening_words,
        filled=filled,
    )
    app.jinja_env.globals.update(
        NO_ACT=NO_ACT,
        asset=asset,
        typing=typing,
        fitting=fitting,
        coordinates=_or(figures.coordinates, NOT_RECORDED),
        geo_uri=geo_uri,
        library=library_address,
        tiles=tiles,
        groups=groups,
        gathered=gathered,
        judged_light=judged_light,
        field_link=field_link,
        floor_words=figures.storey,
        SIGNS=SIGNS,
        PARTS=PARTS,
    )
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True

    @app.context_processor
    def _standing() -> dict[str, Any]:
        return {
            "units": units(),
            "who": asking(),
            "may": _may,
            "upload_most_bytes": settings().max_upload_bytes,
            "recording_most_bytes": settings().max_recording_bytes,
        }
