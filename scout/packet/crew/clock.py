"""The rows of a day's strip: who is called when, scenes, sun in the rooms, noises, opening hours."""

from __future__ import annotations

from datetime import datetime, time
from zoneinfo import ZoneInfo

from scout.packet.content import PacketDay
from scout.records.opening import WEEK
from scout.values import Name, Word
from scout.words.figures import Words

Bar = tuple[Words, float, float]  # what, from and until, in hours of the local day


def strip_rows(day: PacketDay) -> list[tuple[Words, list[Bar]]]:
    """Rows with something in them, in the order a day is read."""
    calls: dict[float, list[str]] = {}
    for call in day.calls:
        calls.setdefault(_hour(call.at.time()), []).append(call.name)
    rows: list[tuple[Words, list[Bar]]] = [
        ("Calls", [(Name(_first_names(who)), at, at) for at, who in sorted(calls.items())]),
        ("Scenes", _scenes(day)),
        ("Sun in room", _sun(day)),
        ("Noises", noise_bars(day)),
        ("Open", _open(day)),
        ("Daylight", _daylight(day)),
    ]
    return [(name, bars) for name, bars in rows if bars]


def _first_names(who: list[str]) -> str:
    return ", ".join(name.split()[0] for name in who if name.split())


def time_of(hour: float) -> time:
    """An hour of the local day as a time of day."""
    minutes = round(hour * 60.0) % (24 * 60)
    return time(minutes // 60, minutes % 60)


def _hour(at: time) -> float:
    return at.hour + at.minute / 60.0


def _local(day: PacketDay, moment: datetime) -> float:
    zone = day.place.timezone
    there = moment.astimezone(ZoneInfo(zone)) if zone else moment
    return (there.date() - day.date).days * 24.0 + _hour(there.time())


def _scenes(day: PacketDay) -> list[Bar]:
    bars: list[Bar] = []
    for setup in day.setups:
        hours = setup.hours
        if hours is not None:
            start, end = (_local(day, moment) for moment in hours)
            bars.append((Name(setup.scene.name), start, end))
    return bars


def _sun(day: PacketDay) -> list[Bar]:
    spells = {
        (_local(day, start), _local(day, end)): Name(window.id)
        for setup in day.setups
        for window in setup.found.windows
        for start, end in window.direct_sun
    }
    joined: list[Bar] = []
    for (start, end), _ in sorted(spells.items()):
        if joined and start <= joined[-1][2]:
            joined[-1] = ("", joined[-1][1], max(end, joined[-1][2]))
        else:
            joined.append(("", start, end))
    return joined


def noise_bars(day: PacketDay) -> list[Bar]:
    """The noises that come back on the day."""
    weekday = WEEK[day.date.weekday()]
    return [
        (
            Name(one.what),
            _hour(time.fromisoformat(one.from_time)),
            _hour(time.fromisoformat(one.until_time)),
        )
        for one in day.noises
        if one.days is None or weekday in one.days
    ]


def _open(day: PacketDay) -> list[Bar]:
    opening = day.place.opening_hours
    if opening is None:
        return []
    spans = [(one.opens, one.closes) for one in opening.dates or () if one.on == day.date] or [
        (one.opens, one.closes)
        for one in opening.week or ()
        if day.date.weekday() in one.days and day.date not in (opening.closed_on or ())
    ]
    bars: list[Bar] = []
    for opens, closes in spans:
        start, end = (_hour(time.fromisoformat(text)) for text in (opens, closes))
        bars.append((Word("claim", "yes"), start, end if end > start else end + 24.0))
    return [("", start, end) for _, start, end in bars]


def _daylight(day: PacketDay) -> list[Bar]:
    for setup in day.setups:
        events = setup.found.events
        if events.sunrise is not None and events.sunset is not None:
            return [("", _local(day, events.sunrise), _local(day, events.sunset))]
    return []
