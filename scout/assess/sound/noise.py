"""Which reading of the room's own noise counts, and what it says: level, criterion, rumble, doubt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from scout.calc.sound.levels import a_level_db, c_level_db
from scout.calc.sound.nc import NC_BANDS_HZ, noise_criterion, whole_nc
from scout.records.sheet import NoiseReading, RoomRecord

# How far a reading may be off (common practice; meters: IEC 61672-1 classes and the wandering of
# the noise itself) [dB].
DOUBT_DB: Mapping[str, float] = {
    "meter_class_1": 1.0,
    "meter_class_2": 1.5,
    "phone_recording": 5.0,
    "phone_app": 5.0,
    "estimate": 6.0,
}
METHOD_WORDS: Mapping[str, str] = {
    "meter_class_1": "a class 1 meter",
    "meter_class_2": "a class 2 meter",
    "phone_recording": "a phone recording",
    "phone_app": "a phone app",
    "estimate": "an estimate, not a reading",
}
BANDS_DISAGREE_DB = 1.0
SHORT_S = 30.0


@dataclass(frozen=True)
class RoomNoise:
    """What one reading says. `nc` None: see nc_text (outside the curves) or nc_unknown."""

    reading: str
    laeq_db: float
    doubt_db: float | None
    lceq_db: float | None
    nc: int | None
    nc_text: str | None
    nc_tie_hz: tuple[int, ...]
    nc_unknown: str | None
    conditions: str | None
    assumed: tuple[str, ...]


def room_noise(room: RoomRecord) -> RoomNoise | str:
    """The reading that counts, worked out; or "because ..." when there is none.

    Of the readings with an A-weighted level, read or summed from octaves, the loudest counts: the
    crew must be able to work
    in it. Estimates count only where nothing was read.
    """
    readings = room.noise or ()
    if not readings:
        return "because no noise reading is recorded"
    levels = {reading.id: _a_level(reading) for reading in readings}
    known = [
        (reading, level) for reading in readings if not isinstance(level := levels[reading.id], str)
    ]
    if not known:
        return f"because {'; '.join(f'reading {name} has {why}' for name, why in levels.items())}"
    read = [(reading, level) for reading, level in known if reading.method != "estimate"]
    counted = read or known
    reading, level = max(counted, key=lambda pair: pair[1])
    assumed = [*_choice_words(reading, known, read, levels), *_level_words(reading, level)]
    nc, text, tie, nc_unknown = _criterion(reading)
    doubt = DOUBT_DB[reading.method] if reading.method is not None else None
    return RoomNoise(
        reading.id,
        level,
        doubt,
        _c_level(reading),
        nc,
        text,
        tie,
        nc_unknown,
        reading.conditions,
        tuple(assumed),
    )


def _bands(reading: NoiseReading) -> dict[int | float, float]:
    found: dict[int | float, float] = {}
    for name, level in (reading.bands_db or {}).items():
        if level is not None:
            found[float(name) if "." in name else int(name)] = level
    return found


def _missing(reading: NoiseReading) -> list[int]:
    return [band for band in NC_BANDS_HZ if band not in _bands(reading)]


def _a_level(reading: NoiseReading) -> float | str:
    if reading.laeq_db is not None:
        return reading.laeq_db
    bands = _bands(reading)
    if not bands:
        return "neither an A-weighted level (laeq_db) nor octave bands"
    if missing := _missing(reading):
        least = a_level_db({float(band): level for band, level in bands.items()})
        return f"no A-weighted level, and no level at {_hz(missing)} to sum one from (the bands read make at least {least:.0f} dBA)"
    return a_level_db({float(band): level for band, level in bands.items()})


def _c_level(reading: NoiseReading) -> float | None:
    if reading.lceq_db is not None:
        return reading.lceq_db
    return (
        None
        if _missing(reading)
        else c_level_db({float(band): level for band, level in _bands(reading).items()})
    )


def _criterion(reading: NoiseReading) -> tuple[int | None, str | None, tuple[int, ...], str | None]:
    bands = _bands(reading)
    if not bands:
        return (
            None,
            None,
            (),
            f"because reading {reading.id} has no octave bands, and NC is read off octave bands",
        )
    if missing := _missing(reading):
        return (
            None,
            None,
            (),
            f"because reading {reading.id} has no level at {_hz(missing)}, which may be the band that sets the NC",
        )
    found = noise_criterion({band: bands[band] for band in NC_BANDS_HZ})
    if found.nc is None:
        outside = "under every NC curve" if not found.set_by_hz else "over every NC curve"
        return (
            None,
            found.text,
            found.set_by_hz,
            f"because the spectrum lies {outside} ({found.text})",
        )
    return whole_nc(found.nc), found.text, found.set_by_hz, None


def _choice_words(
    reading: NoiseReading,
    known: list[tuple[NoiseReading, float]],
    read: list[tuple[NoiseReading, float]],
    levels: Mapping[str, float | str],
) -> list[str]:
    words = []
    if len(known) > 1:
        others = ", ".join(
            f"{other.id} {level:.0f} dBA" + (f" ({other.conditions})" if other.conditions else "")
            for other, level in known
            if other.id != reading.id
        )
        rule = (
            "the loudest reading counts"
            if len(read) == len(known) or not read
            else "the loudest of those read counts, before any estimate"
        )
        words.append(
            f"Of {len(known)} noise readings {rule}: {reading.id}. The other{'s' if len(known) > 2 else ''}: {others}."
        )
    words += [
        f"Reading {name} is not used: it has {why}."
        for name, why in levels.items()
        if isinstance(why, str)
    ]
    return words


def _level_words(reading: NoiseReading, level: float) -> list[str]:
    words = []
    if reading.laeq_db is None:
        words.append(
            f"The A-weighted level of {reading.id}, {level:.1f} dBA, is summed from its octave bands."
        )
    elif not _missing(reading):
        summed = a_level_db({float(band): value for band, value in _bands(reading).items()})
        if abs(summed - level) > BANDS_DISAGREE_DB:
            words.append(
                f"Reading {reading.id} says {level:.1f} dBA and its octave bands sum to {summed:.1f} dBA; the level read is used."
            )
    if reading.method is None:
        words.append(
            f"How reading {reading.id} was taken is not recorded, so its doubt is not known."
        )
    else:
        words.append(
            f"Reading {reading.id} comes from {METHOD_WORDS[reading.method]}: good to about {DOUBT_DB[reading.method]:g} dB (common practice)."
        )
    if reading.duration_s is not None and reading.duration_s < SHORT_S:
        words.append(
            f"Reading {reading.id} lasted {reading.duration_s:g} s; under {SHORT_S:g} s a passing car weighs too much or too little."
        )
    return words


def _hz(bands: list[int]) -> str:
    return f"{', '.join(str(band) for band in bands)} Hz"
