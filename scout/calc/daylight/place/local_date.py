"""A local date as instants: from when to when the clocks of a zone show it, whatever they do in
between.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, tzinfo

from scout.errors import OutOfRange
from scout.values import Figure, Said, said

FIRST_YEAR, LAST_YEAR = 1000, 3000
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MARGIN_S = 26 * 3600
_STEP_S = 1800
_DAY_S = 86400


def out_of_years() -> Said:
    """Why a date or a time is refused that lies too far off."""
    return said("refusal.years", first=Figure(FIRST_YEAR), last=Figure(LAST_YEAR))


def spans_of_date(on: date, zone: tzinfo) -> tuple[tuple[float, float], ...]:
    """The spans of instants [s since 1970-01-01T00:00Z] in which the clocks of the zone show the
    date, start included, end not.

    One span of 23, 24 or 25 hours as a rule; two where the clocks went back over midnight; none
    where the zone skipped
    the date (Apia, 2011-12-30).
    Raises: OutOfRange outside the years 1000 to 3000
    """
    if not FIRST_YEAR <= on.year <= LAST_YEAR:
        raise OutOfRange("date", on.isoformat(), out_of_years())
    midnight_as_utc = (datetime(on.year, on.month, on.day, tzinfo=UTC) - _EPOCH) // timedelta(
        seconds=1
    )
    pieces: list[tuple[int, int, float]] = []  # start, end, offset, each with one offset throughout
    start = at = midnight_as_utc - _MARGIN_S
    last = midnight_as_utc + _DAY_S + _MARGIN_S
    offset = _offset_s(at, zone)
    while at < last:
        following = min(at + _STEP_S, last)
        changed = _offset_s(following, zone)
        if changed != offset:
            low, high = at, following
            while high - low > 1:
                middle = (low + high) // 2
                low, high = (middle, high) if _offset_s(middle, zone) == offset else (low, middle)
            pieces.append((start, high, offset))
            start, offset = high, _offset_s(high, zone)
        at = following
    pieces.append((start, last, offset))
    spans: list[tuple[float, float]] = []
    for piece_start, piece_end, piece_offset in pieces:
        begins = max(float(piece_start), midnight_as_utc - piece_offset)
        ends = min(float(piece_end), midnight_as_utc + _DAY_S - piece_offset)
        if begins < ends:
            if spans and spans[-1][1] == begins:
                spans[-1] = (spans[-1][0], ends)
            else:
                spans.append((begins, ends))
    return tuple(spans)


def local_time(
    unix_s: float, zone: tzinfo, spans: tuple[tuple[float, float], ...] = ()
) -> datetime:
    """An instant as the clocks of the zone show it, to the nearest second, but never rounded out of
    the spans of its date.
    """
    whole = float(round(unix_s))
    for start, end in spans:
        if start <= unix_s < end and not start <= whole < end:
            whole = float(int(unix_s // 1)) if whole >= end else float(-(-start // 1))
    return (_EPOCH + timedelta(seconds=whole)).astimezone(zone)


def _offset_s(unix_s: int, zone: tzinfo) -> float:
    offset = (_EPOCH + timedelta(seconds=unix_s)).astimezone(zone).utcoffset()
    assert offset is not None
    return offset.total_seconds()
