"""Values as a crew reads them; None stays None, so that the page shows an empty box and not a zero."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date, datetime

from scout.assess.answers import Interval
from scout.units import METRES_PER_FOOT, Units, area_as_text, metres_as_text

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def number(value: float | None, decimals: int = 0, unit: str = "") -> str | None:
    """A figure with its unit: `34.0 dBA`."""
    if value is None:
        return None
    shown = f"{value:.{decimals}f}"
    if float(shown) == 0:
        shown = shown.lstrip("-")  # no minus before a zero
    return f"{shown} {unit}".rstrip()


def length(value_m: float | None, units: Units) -> str | None:
    """A length in the units of the packet."""
    return None if value_m is None else metres_as_text(value_m, units)


def distance(value_m: float | None, units: Units) -> str | None:
    """A walk, to the whole metre or foot."""
    if value_m is None:
        return None
    return (
        metres_as_text(value_m, units, decimals=0)
        if units == "metric"
        else f"{value_m / METRES_PER_FOOT:.0f} ft"
    )


def fact_name(path: str) -> str:
    """Where a fact stands in the record, in words: `windows.W1.sill_m` is `windows W1 sill [m]`."""
    *before, last = path.replace("[", ".").replace("]", "").split(".")
    name, _, unit = last.rpartition("_")
    if name and unit in ("m", "m2", "deg", "db", "lux", "k", "w", "a", "v", "s", "hz"):
        last = f"{name} [{unit}]"
    return " ".join([*before, last]).replace("_", " ")


def sizes(values_m: Sequence[float | None], units: Units) -> str | None:
    """`0.83 x 2.00 m` in words of the packet; a side that is not measured is a question mark; None
    when none is.
    """
    if all(value is None for value in values_m):
        return None
    return " × ".join("?" if value is None else metres_as_text(value, units) for value in values_m)


def area(value_m2: float | None, units: Units) -> str | None:
    """An area in the units of the packet."""
    return None if value_m2 is None else area_as_text(value_m2, units)


def day(value: date) -> str:
    """`Sunday 21 June 2026`."""
    return f"{DAYS[value.weekday()]} {value.day} {MONTHS[value.month - 1]} {value.year}"


def clock(value: datetime | None) -> str | None:
    """Local time of day, to the minute."""
    return None if value is None else f"{value:%H:%M}"


def moment(text: str | None) -> str | None:
    """A time of the record, which is ISO 8601, as `2026-05-03 10:40 (UTC+01:00)`; anything else
    stays as it is.
    """
    if text is None:
        return None
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        return text
    zone = f"{at:%z}"
    return f"{at:%Y-%m-%d %H:%M}" + (f" (UTC{zone[:3]}:{zone[3:5]})" if zone else "")


def spells(intervals: Sequence[Interval]) -> str:
    """`10:12–15:40, 17:05–17:50`; on a date when clocks change, the offset from UTC stands with
    each.
    """
    changes = len({at.utcoffset() for spell in intervals for at in spell}) > 1
    form = "%H:%M (UTC%z)" if changes else "%H:%M"
    return ", ".join(f"{start.strftime(form)}–{end.strftime(form)}" for start, end in intervals)


def minutes(value: float | None) -> str | None:
    """A spell of time: `5 h 28 min`."""
    if value is None:
        return None
    hours, rest = divmod(round(value), 60)
    return f"{hours} h {rest:02d} min" if hours else f"{rest} min"


def yes_no(value: bool | None) -> str | None:
    """A claim in words."""
    return None if value is None else "yes" if value else "no"


def plain(word: str | None) -> str | None:
    """A word of a vocabulary without its underscores."""
    return None if word is None else word.replace("_", " ")


def unknown(because: str | None) -> str:
    """Why a figure is missing, as a sentence."""
    return f"Unknown, {because.rstrip('.')}." if because else ""


def compass(bearing_deg: float) -> str:
    """The nearest of eight winds."""
    return ("N", "NE", "E", "SE", "S", "SW", "W", "NW")[round(bearing_deg / 45.0) % 8]


def percent(share: float | None, decimals: int = 0) -> str | None:
    """A share as percent."""
    return None if share is None else f"{share * 100:.{decimals}f} %"


def listed(parts: Sequence[str]) -> str:
    """`A, B and C`."""
    return (
        parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}" if parts else ""
    )


def surfaces(names: Sequence[str]) -> str:
    """Letters of walls and names of other surfaces as one phrase: `walls A and C and the ceiling`."""
    walls = [name for name in names if len(name) == 1]
    phrases = [f"wall{'s' if len(walls) > 1 else ''} {listed(walls)}"] if walls else []
    return " and ".join([*phrases, *(f"the {name}" for name in names if len(name) > 1)])


def span(values: Sequence[float | None], decimals: int = 0, unit: str = "") -> str | None:
    """The least to the greatest of some figures, `48 to 200 lux`; None when none of them is known."""
    known = [value for value in values if value is not None]
    if not known:
        return None
    least, most = f"{min(known):.{decimals}f}", f"{max(known):.{decimals}f}"
    return f"{least} {unit}".rstrip() if least == most else f"{least} to {most} {unit}".rstrip()


def ends_shared(sentences: Sequence[str], least: int = 24, least_or: int = 40) -> list[str]:
    """Sentences that end in the same clause as one, which says that clause once: `the key is dim;
    the fill is dim: bring a board`; others as they stand.

    A clause begins at a colon, a semicolon, `, and` or, where it is long, at `, or`.
    """
    made: list[str] = []
    waiting = list(sentences)
    while waiting:
        first = waiting.pop(0)
        for at in (found.start() for found in re.finditer(r"[:;] |, and |, or ", first)):
            end = first[at:]
            alike = [one for one in waiting if one.endswith(end)]
            if alike and len(end) >= (least_or if end.startswith(", or") else least):
                waiting = [one for one in waiting if not one.endswith(end)]
                first = "; ".join([first[:at], *(one.removesuffix(end) for one in alike)]) + end
                break
        made.append(first)
    return made


def joined(sentences: Iterable[str], names: Iterable[str]) -> list[str]:
    """Sentences alike but for one name, as one: `the skyline of W1, W2 and W3 is not measured`; the
    others as they stand, in order.

    A sentence in which more than one of the names stands is left alone: it would not be clear
        which of them are meant together.
    """
    known = sorted({name for name in names if name.strip()}, key=len, reverse=True)
    any_name = (
        re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, known))})(?![\w-])") if known else None
    )
    alike: dict[tuple[str, str], list[str]] = {}
    for sentence in sentences:
        found = list(any_name.finditer(sentence)) if any_name else []
        if len(found) == 1:
            alike.setdefault((sentence[: found[0].start()], sentence[found[0].end() :]), []).append(
                found[0].group()
            )
        else:
            alike.setdefault((sentence, ""), [])
    return [
        before + listed(list(dict.fromkeys(those))) + after
        for (before, after), those in alike.items()
    ]
