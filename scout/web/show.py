"""How figures, times and words are shown: filters and globals of the templates."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from flask import Flask, url_for
from markupsafe import Markup

from scout.assess.choice.compare import need_words
from scout.assess.choice.opening import opening_words
from scout.assess.daylight.judged import judged_light
from scout.records import Measurement
from scout.retelling import retold
from scout.units import area_as_text, metres_as_text
from scout.usecases.shown import Kept
from scout.web import wording
from scout.web.work import asking, settings, units

STATIC = Path(__file__).parent / "static"


def length(value: float | None) -> str:
    """A length as this person reads it."""
    return "not measured" if value is None else metres_as_text(value, units())


def area(value: float | None) -> str:
    """An area as this person reads it."""
    return "not measured" if value is None else area_as_text(value, units())


def number(value: float | None, decimals: int = 0) -> str:
    """A number with so many decimals; never a minus before nothing."""
    if value is None:
        return "not measured"
    shown = f"{value:.{decimals}f}"
    return shown.lstrip("-") if float(shown) == 0 else shown.replace("-", "−")


def plain(value: float) -> str:
    """A number without a needless `.0`."""
    return f"{value:g}"


def clock(moment: datetime | None, timezone: str | None = None) -> str:
    """An instant as time of day, in its own offset or a zone's."""
    if moment is None:
        return "none"
    return (moment.astimezone(ZoneInfo(timezone)) if timezone else moment).strftime("%H:%M")


def when(moment: datetime | str | None, timezone: str | None = None) -> str:
    """An instant as day and time, and by which clock."""
    if moment is None:
        return "not recorded"
    if isinstance(moment, str):
        moment = datetime.fromisoformat(moment)  # a Moment of the records: judged when it came in
    if timezone:
        local = moment.astimezone(ZoneInfo(timezone))
        return f"{day(local)}, {local:%H:%M}"
    return f"{day(moment)}, {moment:%H:%M} {_offset(moment)}".strip()


def _offset(moment: datetime) -> str:
    text = moment.isoformat()[-6:]
    return "" if moment.utcoffset() is None else "UTC" if not moment.utcoffset() else f"UTC{text}"


def day(value: date | str) -> str:
    """A date in words: 3 May 2026."""
    found = date.fromisoformat(value[:10]) if isinstance(value, str) else value
    return f"{found.day} {found:%b} {found:%Y}"


def spells(intervals: Any) -> str:
    """Spells of time: 10:12 to 15:40, 17:00 to 18:00."""
    return ", ".join(f"{clock(start)} to {clock(end)}" for start, end in intervals) or "none"


def minutes(value: float | None) -> str:
    """A duration in hours and minutes."""
    if value is None:
        return "unknown"
    whole = round(value)
    return f"{whole // 60} h {whole % 60:02d} min" if whole >= 60 else f"{whole} min"


def coordinates(latitude: float | None, longitude: float | None) -> str:
    """A position to about a metre."""
    if latitude is None or longitude is None:
        return "not recorded"
    return f"{abs(latitude):.5f}° {'N' if latitude >= 0 else 'S'}, {abs(longitude):.5f}° {'E' if longitude >= 0 else 'W'}"


@cache
def _fingerprint(name: str) -> str:
    path = STATIC / name
    return hashlib.sha256(path.read_bytes()).hexdigest()[:12]


def asset(name: str) -> str:
    """The address of a static file, which changes when the file does."""
    return url_for("static", filename=name, v=_fingerprint(name))


def swatch(colour: Mapping[str, Any] | Any) -> Markup:
    """A small square of a surface's colour, as a drawing: the pages carry no inline styles."""
    fill = getattr(colour, "srgb", None)
    if not fill:
        return Markup("")
    return Markup(
        '<svg class="swatch" viewBox="0 0 20 14" aria-hidden="true"><rect width="20" height="14" fill="{}"/></svg>'
    ).format(fill)


def changed(kept: Kept[Any], timezone: str | None = None) -> str:
    """Who changed a record last, and when."""
    who = f" by {kept.changed_by}" if kept.changed_by else ""
    return f"last changed {when(kept.changed_at, timezone)}{who}"


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
        found.setdefault((m.by, m.at, m.how, m.accuracy), []).append(wording.fact_words(m.path))
    made = [Measured(tuple(dict.fromkeys(facts)), *key) for key, facts in found.items()]
    return sorted(made, key=lambda group: _instant(group.at), reverse=True)


def _instant(text: str | None) -> float:
    try:
        return datetime.fromisoformat(text).timestamp() if text else 0.0
    except (ValueError, OverflowError):
        return 0.0


def sentence(text: str, capital: bool = True) -> str:
    """A text as a sentence: a capital first, a full stop last."""
    tidy = text.strip()
    if capital:
        tidy = tidy[:1].upper() + tidy[1:]
    return tidy if not tidy or tidy[-1] in ".:;!?…" else f"{tidy}."


def with_article(word: str) -> str:
    """A word with its article: a window, an outlet."""
    return f"{'an' if word[:1].lower() in 'aeiou' else 'a'} {word}"


def gathered(*blocks: Any) -> list[str]:
    """What several blocks of an answer assume, in their order."""
    found: list[str] = []
    for block in blocks:
        if hasattr(block, "assumed"):
            found += block.assumed
        elif block is not None:
            found += gathered(*block)
    return found


def register(app: Flask) -> None:
    """Give the templates their words."""
    app.jinja_env.filters.update(
        length=length,
        area=area,
        number=number,
        plain=plain,
        clock=clock,
        when=when,
        day=day,
        spells=spells,
        minutes=minutes,
        swatch=swatch,
        worded=wording.worded,
        topic=wording.topic_words,
        fact=wording.fact_words,
        changed=changed,
        need=need_words,
        sentence=sentence,
        a=with_article,
        opening=opening_words,
        retold=lambda text: retold(text, units()),
    )
    app.jinja_env.globals.update(
        asset=asset,
        coordinates=coordinates,
        groups=groups,
        gathered=gathered,
        judged_light=judged_light,
        MARKS=wording.MARKS,
        KINDS=wording.KINDS,
    )
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True

    @app.context_processor
    def _standing() -> dict[str, Any]:
        return {
            "units": units(),
            "who": asking(),
            "upload_most_bytes": settings().max_upload_bytes,
            "recording_most_bytes": settings().max_recording_bytes,
        }
