"""Which reading of the room's own noise counts, what it says, and whether that is quiet enough."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scout.assess.answers import Level, worst_level
from scout.assess.sound.hours import NoisesThen, Shoot, noises_then, readings_for
from scout.calc.sound.levels import a_level_db, c_level_db
from scout.calc.sound.nc import LEAST_NC, MOST_NC, NC_BANDS_HZ, noise_criterion, whole_nc
from scout.records.kept import WhenNeed
from scout.records.sheet import NoiseReading, RoomRecord
from scout.records.sounds import NoiseWindowRecord
from scout.values import Figure, Many, Name, Said, Word, said

# How far a reading may be off (common practice; meters: IEC 61672-1 classes and the wandering of
# the noise itself) [dB].
DOUBT_DB: Mapping[str, float] = {
    "meter_class_1": 1.0,
    "meter_class_2": 1.5,
    "phone_recording": 5.0,
    "phone_app": 5.0,
    "estimate": 6.0,
}
UNKNOWN_METHOD_DOUBT_DB = 6.0  # as an estimate's: what is not said is not taken to be better
METER_DOUBT_DB = 2.0  # a reading good to this or better is believed when it lies under the limit
BANDS_DISAGREE_DB = 1.0
SHORT_S = 30.0
TELLS_S = 3.0  # under that a mean level is no room's: one of 1.1 s lay 17 dB under its own LA90


def doubt_of(doubt_db: float | None) -> float:
    """A doubt; an estimate's where the method is not known."""
    return UNKNOWN_METHOD_DOUBT_DB if doubt_db is None else doubt_db


def quiet_enough(read: float, limit: float, doubt_db: float | None) -> Level:
    """Whether a noise is under a limit (dBA, or NC), with the doubt of its reading; the one place
    where that is decided.

    Good: under it by the doubt, or at all where a meter read it. Problem: over it by more than the
    doubt. Between them care.
    """
    doubt = doubt_of(doubt_db)
    over = round(read - limit, 1)
    if over <= -doubt or (over <= 0 and doubt <= METER_DOUBT_DB):
        return "good"
    return "care" if over <= doubt else "problem"


@dataclass(frozen=True)
class QuietThen:
    """Whether a room is quiet enough at the hours of a scene, and why."""

    level: Level
    laeq: Figure | None  # dBA, with the ends of its doubt
    why: tuple[Said, ...]
    noises: tuple[NoisesThen, ...]


def quiet_then(
    most_dba: float,
    whens: Sequence[WhenNeed],
    room: RoomRecord,
    windows: Sequence[NoiseWindowRecord],
    zone: str | None,
) -> QuietThen:
    """A scene's need of quiet: by what was read at its hours, and by what comes back then.

    What was read at other hours only cannot fail a room, for it raises a question and no more; a
    noise that comes back takes good down to care, and one that leaves no quiet stretch fails.
    """
    shoots = [Shoot.of_need(when) for when in whens]
    counted = readings_for(shoots, room, windows, zone)
    noise = room_noise(counted.readings)
    noises = tuple(found for shoot in shoots if (found := noises_then(shoot, windows)) is not None)
    why: list[Said] = []
    laeq = None
    if isinstance(noise, Said):
        level: Level = "unknown"
        why.append(noise)
    else:
        level = quiet_enough(noise.laeq_db, most_dba, noise.doubt_db)
        laeq = noise.laeq
        why.append(noise.why(most_dba))
        if counted.at_hours is False:
            why.append(said("noise.other_hours"))
            level = "care" if level == "problem" else level
    why += [found.why for found in noises]
    if noises and level != "unknown":
        level = worst_level((level, *(found.level for found in noises)))
    elif any(found.level == "problem" for found in noises):
        level = "problem"
    return QuietThen(level, laeq, tuple(why), noises)


@dataclass(frozen=True)
class RoomNoise:
    """What one reading says. `nc` None: see nc_text (outside the curves) or nc_unknown."""

    reading: Name
    method: str | None
    laeq_db: float
    doubt_db: float | None
    lceq_db: float | None
    nc: int | None
    nc_text: Said | None
    nc_tie_hz: tuple[int, ...]
    nc_unknown: Said | None
    conditions: Name | None
    assumed: tuple[Said, ...]

    @property
    def laeq(self) -> Figure:
        """The level with the ends of its doubt."""
        doubt = doubt_of(self.doubt_db)
        return Figure(self.laeq_db, "dBA", self.laeq_db - doubt, self.laeq_db + doubt)

    def why(self, most_dba: float) -> Said:
        """How it stands to a limit, and how it was read."""
        over = self.laeq_db - most_dba
        doubt = doubt_of(self.doubt_db)
        values = {
            "by": Figure(abs(over), "dB"),
            "method": None if self.method is None else Word("method", self.method),
            "doubt": Figure(doubt, "dB"),
            "conditions": self.conditions,
        }
        if round(over, 1) > 0:
            return said("noise.over", **values)
        return said("noise.under", **values)


def room_noise(readings: Sequence[NoiseReading]) -> RoomNoise | Said:
    """The reading that counts, worked out; or why there is none.

    Of the readings with an A-weighted level, read or summed from octaves, the loudest counts: the
    crew must be able to work in it. Estimates count only where nothing was read.
    """
    if not readings:
        return said("noise.none")
    levels = [(reading, _a_level(reading)) for reading in readings]
    known = [(reading, level) for reading, level in levels if not isinstance(level, Said)]
    without = [level for _, level in levels if isinstance(level, Said)]
    if not known:
        return said("noise.no_levels", readings=Many(tuple(without)))
    read = [(reading, level) for reading, level in known if reading.method != "estimate"]
    reading, level = max(read or known, key=lambda pair: pair[1])
    nc, text, tie, nc_unknown = _criterion(reading)
    return RoomNoise(
        Name(reading.id),
        reading.method,
        level,
        _doubt_db(reading),
        _c_level(reading),
        nc,
        text,
        tie,
        nc_unknown,
        Name(reading.conditions) if reading.conditions else None,
        (*_choice(reading, known, read), *without, *_notes(reading, level)),
    )


def _doubt_db(reading: NoiseReading) -> float | None:
    """By its method; what lasted under 3 s is an estimate, whatever it was read with."""
    if reading.method is None:
        return None
    doubt = DOUBT_DB[reading.method]
    if reading.duration_s is not None and reading.duration_s < TELLS_S:
        return max(doubt, DOUBT_DB["estimate"])
    return doubt


def _bands(reading: NoiseReading) -> dict[int | float, float]:
    found: dict[int | float, float] = {}
    for name, level in (reading.bands_db or {}).items():
        if level is not None:
            found[float(name) if "." in name else int(name)] = level
    return found


def _missing(reading: NoiseReading) -> list[int]:
    bands = _bands(reading)
    return [band for band in NC_BANDS_HZ if band not in bands]


def _a_level(reading: NoiseReading) -> float | Said:
    if reading.laeq_db is not None:
        return reading.laeq_db
    bands = {float(band): level for band, level in _bands(reading).items()}
    missing = _missing(reading)
    if not missing:
        return a_level_db(bands)
    return said(
        "noise.no_level",
        reading=Name(reading.id),
        conditions=Name(reading.conditions) if reading.conditions else None,
        missing=_hz(missing) if bands else None,
        least=Figure(a_level_db(bands), "dBA") if bands else None,
    )


def _c_level(reading: NoiseReading) -> float | None:
    if reading.lceq_db is not None or _missing(reading):
        return reading.lceq_db
    return c_level_db({float(band): level for band, level in _bands(reading).items()})


def _criterion(
    reading: NoiseReading,
) -> tuple[int | None, Said | None, tuple[int, ...], Said | None]:
    bands = _bands(reading)
    if missing := _missing(reading):
        why = said("noise.no_nc", reading=Name(reading.id), missing=_hz(missing) if bands else None)
        return None, None, (), why
    found = noise_criterion({band: bands[band] for band in NC_BANDS_HZ})
    if found.nc is not None:
        nc = whole_nc(found.nc)
        return nc, said("noise.nc", nc=Figure(nc, "NC")), found.set_by_hz, None
    outside = (
        said("noise.nc_over", nc=Figure(MOST_NC, "NC"))
        if found.set_by_hz
        else said("noise.nc_under", nc=Figure(LEAST_NC, "NC"))
    )
    return None, outside, found.set_by_hz, outside


def _choice(
    reading: NoiseReading,
    known: list[tuple[NoiseReading, float]],
    read: list[tuple[NoiseReading, float]],
) -> list[Said]:
    if len(known) < 2:
        return []
    others = tuple(
        said(
            "noise.other",
            reading=Name(other.id),
            laeq=Figure(level, "dBA"),
            conditions=Name(other.conditions) if other.conditions else None,
        )
        for other, level in known
        if other.id != reading.id
    )
    estimates = len(known) - len(read) if read else 0
    return [
        said(
            "noise.counted",
            reading=Name(reading.id),
            others=Many(others),
            estimates=estimates or None,
        )
    ]


def _notes(reading: NoiseReading, level: float) -> list[Said]:
    name, laeq = Name(reading.id), Figure(level, "dBA")
    notes = []
    if reading.laeq_db is None:
        notes.append(said("noise.summed", reading=name, laeq=laeq))
    elif not _missing(reading):
        summed = a_level_db({float(band): value for band, value in _bands(reading).items()})
        if abs(summed - level) > BANDS_DISAGREE_DB:
            notes.append(
                said("noise.disagree", reading=name, laeq=laeq, summed=Figure(summed, "dBA"))
            )
    notes.append(
        said(
            "noise.doubt",
            reading=name,
            method=Word("method", reading.method or "unknown"),
            doubt=Figure(doubt_of(_doubt_db(reading)), "dB"),
        )
    )
    if reading.duration_s is not None and reading.duration_s < SHORT_S:
        notes.append(
            said(
                "noise.short",
                reading=name,
                lasted=Figure(reading.duration_s, "s"),
                least=Figure(SHORT_S, "s"),
            )
        )
    return notes


def _hz(bands: list[int]) -> Many:
    return Many(tuple(Figure(band, "Hz") for band in bands))
