"""The times written in photos: text in, a moment or the reason there is none out."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from scout.values import Figure, Name, Said, said

# Some writers part the date with hyphens, slashes or points, and time and date with a T.
_EXIF_TIME = re.compile(
    r"(\d{4})[:/.-](\d{1,2})[:/.-](\d{1,2})[ T](\d{1,2}):(\d{1,2}):(\d{1,2})(?:\.(\d+))?\s*(Z|[+-]\d\d:?\d\d)?",
    re.ASCII,
)
_XMP_TIME = re.compile(
    r"(\d{4})-(\d\d)-(\d\d)T(\d\d):(\d\d)(?::(\d\d)(?:\.(\d+))?)?(Z|[+-]\d\d:?\d\d)?", re.ASCII
)
_OFFSET = re.compile(r"(Z)|([+-])(\d\d):?(\d\d)", re.ASCII)
_NEVER_SET = {
    "1904-01-01",
    "1970-01-01",
    "1980-01-01",
}  # where the clocks of file systems begin; a flat battery returns to them


@dataclass(frozen=True)
class Moment:
    """A time as a clock on the wall shows it, with its offset from UTC only where one was recorded.

    wall:       the date and time shown; its tzinfo is a carrier, not a claim
    fraction:   digits of the second after the point, as recorded, up to six
    offset_min: minutes east of UTC, None where not recorded
    """

    wall: datetime
    fraction: str = ""
    offset_min: int | None = None

    def iso(self) -> str:
        """ISO 8601 text, with an offset only where one was recorded."""
        text = self.wall.strftime("%Y-%m-%dT%H:%M:%S").zfill(19) + (
            f".{self.fraction}" if self.fraction else ""
        )
        if self.offset_min is None:
            return text
        hours, minutes = divmod(abs(self.offset_min), 60)
        return f"{text}{'-' if self.offset_min < 0 else '+'}{hours:02d}:{minutes:02d}"

    def utc(self) -> datetime | None:
        """The moment in UTC, or None without an offset (or at the rim of the calendar)."""
        if self.offset_min is None:
            return None
        try:
            return self.wall - timedelta(minutes=self.offset_min)
        except OverflowError:
            return None


def utc_text(moment: datetime) -> str:
    return moment.strftime("%Y-%m-%dT%H:%M:%S").zfill(19) + "Z"


def offset_minutes(text: str) -> int | None:
    """Minutes east of UTC, or None for what is no offset in use on earth (-12:00 to +14:00)."""
    found = _OFFSET.fullmatch(text.strip())
    if found is None:
        return None
    if found[1]:
        return 0
    hours, minutes = int(found[3]), int(found[4])
    total = (hours * 60 + minutes) * (-1 if found[2] == "-" else 1)
    return total if minutes < 60 and -12 * 60 <= total <= 14 * 60 else None


def exif_moment(
    text: str, subsecond: str | None, offset: str | None, notes: list[Said]
) -> Moment | None:
    """The moment of an EXIF date with its own sub-seconds and its own offset; None, with a sentence
    in `notes`, when it is none.
    """
    if not re.sub(r"[\s:0/.-]", "", text):
        notes.append(said("photo.time_empty"))
        return None
    found = _EXIF_TIME.fullmatch(text)
    moment = _moment(found) if found else None
    if moment is None:
        notes.append(said("photo.time_unread", text=Name(_short(text))))
        return None
    fraction = (subsecond or "").strip()
    if fraction.isascii() and fraction.isdigit():
        moment = Moment(moment.wall, fraction[:6], moment.offset_min)
    elif fraction:
        notes.append(said("photo.fraction_unread", text=Name(_short(fraction))))
    if offset and offset.strip(" :"):
        minutes = offset_minutes(offset)
        if minutes is None:
            notes.append(said("photo.offset_unread", text=Name(_short(offset))))
        else:
            moment = Moment(moment.wall, moment.fraction, minutes)
    if moment.wall.strftime("%Y-%m-%d").zfill(10) in _NEVER_SET and moment.wall.hour == 0:
        notes.append(said("photo.clock_unset", at=Name(moment.iso())))
    return moment


def xmp_moment(text: str, notes: list[Said]) -> Moment | None:
    """The moment of an XMP date; None, with a sentence in `notes`, for a date without a time or for
    no date.
    """
    found = _XMP_TIME.fullmatch(text.strip())
    moment = _moment(found) if found else None
    if moment is None:
        notes.append(said("photo.time_unread_xmp", text=Name(_short(text))))
    return moment


def _moment(found: re.Match[str]) -> Moment | None:
    year, month, day, hour, minute = (int(found[i]) for i in range(1, 6))
    try:
        wall = datetime(year, month, day, hour, minute, int(found[6] or 0), tzinfo=UTC)
    except ValueError:
        return None
    return Moment(wall, (found[7] or "")[:6], offset_minutes(found[8]) if found[8] else None)


def _short(text: str) -> str:
    shown = "".join(ch if ch.isprintable() else " " for ch in text).strip()
    return shown if len(shown) <= 40 else f"{shown[:37]}..."


def compare_clocks(camera: Moment, satellite: datetime, notes: list[Said]) -> None:
    """Say so where the camera's clock and the satellites' cannot both be right; the camera's is the
    one used.

    Without an offset only the impossible shows: a difference that no time zone has (they are
        whole quarter hours).
    Two minutes are allowed: the last satellite fix may be a little older than the picture.
    """
    allowed_s = 120
    instant = camera.utc()
    if instant is not None:
        apart_s = abs((instant - satellite).total_seconds())
        if apart_s > allowed_s:
            notes.append(
                said(
                    "photo.clocks_apart",
                    camera=Name(camera.iso()),
                    satellites=Name(utc_text(satellite)),
                    apart=Figure(apart_s / 60, "min"),
                )
            )
        return
    ahead_s = (camera.wall - satellite).total_seconds()
    off_s = abs(ahead_s - 900 * round(ahead_s / 900))
    if not -12 * 3600 - allowed_s <= ahead_s <= 14 * 3600 + allowed_s or off_s > allowed_s:
        notes.append(
            said(
                "photo.clocks_no_zone",
                camera=Name(camera.iso()),
                satellites=Name(utc_text(satellite)),
            )
        )
