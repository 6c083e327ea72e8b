"""Findings of sound: noise at the setup's hours, reverb, and what each microphone will do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import time
from typing import Annotated, Any

from scout.assess.answers import Act, Finding, MicAnswer, RoomAssessment, SoundAnswer, act
from scout.assess.answers.finding import MOST_ACTS
from scout.assess.setup import Setup
from scout.assess.sound.acts import blankets, have_conditions, lav, nearer, wait_for
from scout.assess.sound.hours import Shoot, noises_then
from scout.assess.sound.room import RoomSound, room_sound
from scout.assess.sound.sound import (
    ACCEPTABLE_S,
    RUMBLE_DB,
    Ringing,
    judged_by,
    reverb_level,
    voice_level,
    voice_noise,
)
from scout.calc.sound.speech import VERDICTS
from scout.values import (
    Decibels,
    Figure,
    Length,
    Many,
    Minutes,
    Name,
    NoiseLevel,
    Said,
    Seconds,
    Spell,
    Unit,
    Word,
    names,
    words,
)

Nc = Annotated[Figure, "NC"]
SAID_DOUBT_DB = 2.0  # a smaller doubt of the level is not worth a word
NOISE, SURFACES, MICS = ("room.noise",), ("room.surfaces", "room.contents"), ("kit.mics",)


@dataclass(frozen=True, kw_only=True)
class _Sound(Finding):
    topic = "sound"


@dataclass(frozen=True, kw_only=True)
class _Noise(_Sound):
    """The room's own noise as it was read."""

    laeq: NoiseLevel
    nc: Nc | None = None
    conditions: Name | None = None


@dataclass(frozen=True, kw_only=True)
class Quiet(_Noise):
    """The room is quiet enough for speech at the hours of the setup.

    Why:    a microphone placed well needs nothing more.
    Level:  good.
    Source: NC 30 or 40 dBA (common practice), by assess.sound.noise.quiet_enough.
    """

    code = "sound.quiet"
    levels = ("good",)
    use: Word


@dataclass(frozen=True, kw_only=True)
class Noisy(_Noise):
    """Speech is clean with close microphones alone, or the doubt of the reading reaches so far.

    Why:    a boom at arm's length brings the room with it.
    Level:  care.
    Source: NC 40 or 49 dBA (common practice), by assess.sound.noise.quiet_enough.
    """

    code = "sound.noisy"
    levels = ("care",)


@dataclass(frozen=True, kw_only=True)
class Loud(_Noise):
    """The room is too loud for clean speech, whatever the microphone.

    Why:    noise is what cannot be taken out afterwards.
    Level:  problem.
    Source: over NC 40 or 49 dBA by more than the reading's doubt (common practice).
    """

    code = "sound.loud"
    levels = ("problem",)


@dataclass(frozen=True, kw_only=True)
class NoiseUnknown(_Sound):
    """No reading speaks for the room's noise.

    Why:    a minute with a meter or a phone settles it before the day.
    Level:  unknown.
    Source: assess.sound.noise.room_noise.
    """

    code = "sound.noise_unknown"
    levels = ("unknown",)
    why: Said


@dataclass(frozen=True, kw_only=True)
class NotReadThen(_Sound):
    """The readings that are judged by were taken at other hours than the setup's.

    Why:    a road, a school or a heating has its own hours.
    Level:  unknown.
    Source: assess.sound.hours.readings_for.
    """

    code = "sound.not_read_then"
    levels = ("unknown",)
    hours: Spell


@dataclass(frozen=True, kw_only=True)
class Rumble(_Sound):
    """Low frequencies stand far over what the A-weighted level shows.

    Why:    traffic and ventilation spoil a take that the A figure calls quiet; a high-pass helps.
    Level:  care.
    Source: C less A over 15 dB (common practice).
    """

    code = "sound.rumble"
    levels = ("care",)
    over: Decibels


@dataclass(frozen=True, kw_only=True)
class NoisesCome(_Sound):
    """Noises that are known to come back fall into the setup's date and hours.

    Why:    they stop takes; the schedule can be laid round them.
    Level:  problem where no stretch of 15 minutes stays quiet; else care.
    Source: assess.sound.hours.noises_then.
    """

    code = "sound.noises_come"
    levels = ("problem", "care")
    noises: Many
    quiet: Minutes | None = None
    longest: Spell | None = None


@dataclass(frozen=True, kw_only=True)
class ReverbDry(_Sound):
    """The reverb is short enough for a voice.

    Why:    a voice recorded here sounds near.
    Level:  good; care where a wide doubt reaches over 0.7 s, and `why` says whence it comes.
    Source: 0.7 s at 500 Hz and 1 kHz (common practice), by assess.sound.sound.reverb_level.
    """

    code = "sound.reverb_dry"
    levels = ("good", "care")
    time: Seconds
    by: Word
    why: Said | None = None


@dataclass(frozen=True, kw_only=True)
class ReverbLive(_Sound):
    """The room is live: a voice blurs unless the microphone is near.

    Why:    reverb stays in the recording; cloth takes it away before, nothing does after.
    Level:  care over 0.7 s; problem over 2 s.
    Source: common practice, by assess.sound.sound.reverb_level.
    """

    code = "sound.reverb_live"
    levels = ("problem", "care")
    time: Seconds
    by: Word


@dataclass(frozen=True, kw_only=True)
class ReverbUnknown(_Sound):
    """Too little is recorded to say whether the room is live or dry.

    Why:    the microphones that will do depend on it.
    Level:  unknown; also where the bounds of what is missing give two levels.
    Source: assess.sound.room.room_sound.
    """

    code = "sound.reverb_unknown"
    levels = ("unknown",)
    time: Seconds | None = None
    why: Said


@dataclass(frozen=True, kw_only=True)
class FlutterEcho(_Sound):
    """Two bare parallel surfaces throw the sound to and fro for longer than the room rings.

    Why:    it colours a voice with a metallic tail; something hung on one of them breaks it.
    Level:  care.
    Source: calc.sound.boundaries.flutter_warns.
    """

    code = "sound.flutter"
    levels = ("care",)
    surfaces: Many
    apart: Length
    decay: Seconds
    room: Seconds


@dataclass(frozen=True, kw_only=True)
class _BestMic(_Sound):
    """The best of the kit's microphones where it stands."""

    levels = ("good",)
    mic: Name
    kind: Word
    distance: Length | None = None
    snr: Decibels | None = None
    direct: Decibels | None = None


@dataclass(frozen=True, kw_only=True)
class MicClean(_BestMic):
    """The best microphone records speech cleanly.

    Why:    it is the one to use.
    Level:  good; the others are told by findings of their own.
    Source: assess.sound.sound.placement: 30 dB over the noise, 6 dB over the reverb.
    """

    code = "sound.mic_clean"


@dataclass(frozen=True, kw_only=True)
class MicUsable(_BestMic):
    """The best microphone records usable speech.

    Why:    it is the one to use.
    Level:  good; the others are told by findings of their own.
    Source: assess.sound.sound.placement: 20 dB over the noise, as loud as the reverb.
    """

    code = "sound.mic_usable"


@dataclass(frozen=True, kw_only=True)
class _MicsLeft(_Sound):
    """Microphones that will not do for dialogue."""

    mics: Many


@dataclass(frozen=True, kw_only=True)
class MicGuideOnly(_MicsLeft):
    """Microphones whose track is a guide and no more.

    Why:    whoever holds only one of these must know before the take.
    Level:  care.
    Source: assess.sound.sound.placement: 12 dB over the noise, 6 dB under the reverb.
    """

    code = "sound.mic_guide_only"
    levels = ("care",)


@dataclass(frozen=True, kw_only=True)
class MicUnusable(_MicsLeft):
    """Microphones that give no usable speech where they stand.

    Why:    whoever holds only one of these must know before the take.
    Level:  problem where the kit has nothing better; else care.
    Source: assess.sound.sound.placement.
    """

    code = "sound.mic_unusable"
    levels = ("problem", "care")


@dataclass(frozen=True, kw_only=True)
class MicUnknown(_MicsLeft):
    """What these microphones will do cannot be said yet.

    Why:    noise, reverb or the distance is missing.
    Level:  unknown.
    Source: assess.sound.sound.placement.
    """

    code = "sound.mic_unknown"
    levels = ("unknown",)
    why: Said
    alone: Word | None = None  # where it is one for all of them


def findings(setup: Setup, found: RoomAssessment) -> tuple[Finding, ...]:
    """What the sound comes to for a setup."""
    return (
        *_noise(setup, found.sound),
        *_noises(setup, found.sound),
        *_reverb(setup, found.sound),
        *_mics(setup, found.sound),
    )


def _noise(setup: Setup, heard: SoundAnswer) -> Iterator[Finding]:
    read = voice_noise(heard)
    if read is None or heard.laeq_db is None:
        yield NoiseUnknown(
            level="unknown",
            why=heard.unknown_by["noise"],
            rests_on=NOISE,
            acts=(act("measure.noise", hours=None),),
        )
        return
    doubt = heard.laeq_doubt_db or 0.0
    level, laeq = heard.laeq_db, Figure(heard.laeq_db, "dBA")
    if doubt > SAID_DOUBT_DB:
        laeq = Figure(level, "dBA", level - doubt, level + doubt)
    values: dict[str, Any] = {
        "laeq": laeq,
        "nc": None if heard.nc is None else Figure(heard.nc, "NC"),
        "conditions": heard.conditions,
        "about": () if heard.reading is None else (heard.reading,),
        "rests_on": NOISE,
    }
    judged = voice_level(heard)
    if judged == "good":
        use = Word("mic_use", "any" if read[0] <= read[1][0] else "near")
        yield Quiet(level="good", use=use, **values)
    else:
        values["acts"] = tuple(have_conditions(setup, heard))
        yield (
            Loud(level="problem", **values)
            if judged == "problem"
            else Noisy(level="care", **values)
        )
    if heard.read_at_hours is False:
        hours = Spell(setup.from_time or time(0), setup.until_time or time(0))
        yield NotReadThen(
            level="unknown", hours=hours, rests_on=NOISE, acts=(act("measure.noise", hours=hours),)
        )
    if heard.lceq_db is not None and heard.lceq_db - level > RUMBLE_DB:
        yield Rumble(level="care", over=Figure(heard.lceq_db - level, "dB"), rests_on=NOISE)


def _noises(setup: Setup, heard: SoundAnswer) -> Iterator[Finding]:
    comes = noises_then(Shoot.of_setup(setup), setup.noises)
    if comes is None:
        return
    yield NoisesCome(
        level=comes.level,
        noises=names(window.what for window, _ in comes.noises),
        quiet=None if comes.quiet_min is None else Figure(comes.quiet_min, "min"),
        longest=comes.longest,
        acts=tuple(wait_for(setup, heard, *noise) for noise in comes.noises)[:MOST_ACTS],
    )


def _reverb(setup: Setup, heard: SoundAnswer) -> Iterator[Finding]:
    room = setup.sheet.room
    computed = room_sound(room)
    ringing = judged_by(room, computed, setup.ring)
    if isinstance(computed, RoomSound) and (pair := computed.flutter) is not None:
        yield FlutterEcho(
            level="care",
            surfaces=pair.surfaces,
            apart=Figure(pair.apart_m, "m"),
            decay=Figure(pair.decay_s, "s"),
            room=Figure(pair.room_s, "s"),
            about=tuple(pair.surfaces),
            rests_on=SURFACES,
        )
    if room.setting in ("exterior", "covered"):
        return  # it does not apply
    level = reverb_level(ringing) if isinstance(ringing, Ringing) else "unknown"
    if not isinstance(ringing, Ringing) or level == "unknown":
        yield ReverbUnknown(
            level="unknown",
            time=None if not isinstance(ringing, Ringing) else _time(ringing),
            why=heard.unknown_by["room"],
            rests_on=SURFACES,
            acts=_to_measure(computed),
        )
        return
    by = Word("reverb_by", "measured" if ringing.measured else "computed")
    if level == "good" or (ringing.mid_s is not None and ringing.mid_s <= ACCEPTABLE_S):
        why = heard.rt60_range_because if level == "care" else None
        yield ReverbDry(level=level, time=_time(ringing), by=by, why=why, rests_on=SURFACES)
        return
    yield ReverbLive(
        level=level,
        time=_time(ringing),
        by=by,
        rests_on=SURFACES,
        acts=tuple(blankets(setup, computed, ringing)),
    )


def _time(ringing: Ringing) -> Figure:
    low, high = ringing.range_s
    return Figure(ringing.mid_s if ringing.mid_s is not None else (low + high) / 2, "s", low, high)


def _to_measure(computed: RoomSound | Said) -> tuple[Act, ...]:
    if isinstance(computed, RoomSound):
        return (act("measure", facts=words("fact", computed.gaps)),)
    facts = dict(computed.values).get("facts")
    return (act("measure", facts=facts),) if isinstance(facts, Many) else ()


def _mics(setup: Setup, heard: SoundAnswer) -> Iterator[Finding]:
    judged = [mic for mic in heard.placements if mic.verdict is not None]
    best = min(judged, key=_rank, default=None)
    if best is not None and best.verdict in ("clean", "usable"):
        yield (MicClean if best.verdict == "clean" else MicUsable)(
            level="good",
            mic=Name(best.mic),
            kind=Word("mic", str(best.kind)),
            distance=_figure(best.distance_m, "m"),
            snr=_figure(best.snr_db, "dB"),
            direct=_figure(best.direct_to_reverberant_db, "dB"),
            about=(Name(best.mic),),
            rests_on=(*MICS, *NOISE),
        )
    guide = [mic for mic in judged if mic.verdict == "repair"]
    lost = [mic for mic in judged if mic.verdict == "unusable"]
    unknown = [mic for mic in heard.placements if mic.verdict is None]
    if guide:
        yield MicGuideOnly(level="care", **_left(setup, heard, guide, best))
    if lost:
        alone = best in lost and not unknown
        yield MicUnusable(level="problem" if alone else "care", **_left(setup, heard, lost, best))
    if unknown:
        whys = [mic.unknown or heard.unknown_by["noise"] for mic in unknown]
        values: list[dict[str, Any]] = [dict(why.values) for why in whys]
        alones = {one.get("alone") for one in values}
        missing = tuple(fact for one in values for fact in one.get("facts") or ())
        yield MicUnknown(
            level="unknown",
            mics=names(mic.mic for mic in unknown),
            why=whys[0],
            alone=alones.pop() if len(alones) == 1 else None,
            about=tuple(Name(mic.mic) for mic in unknown),
            rests_on=(*MICS, *NOISE),
            acts=(act("measure", facts=Many(missing)),) if missing else (),
        )


def _rank(mic: MicAnswer) -> tuple[int, float]:
    over = mic.snr_db if mic.snr_db is not None else float("-inf")
    return VERDICTS.index(mic.verdict or "unusable"), -over


def _left(
    setup: Setup, heard: SoundAnswer, mics: list[MicAnswer], best: MicAnswer | None
) -> dict[str, Any]:
    """The values of a finding about microphones that will not do. What would help is offered where
    no other microphone does.
    """
    acts: tuple[Act, ...] = ()
    if best in mics:
        acts = (*lav(setup, best), *nearer(setup, heard, mics))[:MOST_ACTS]
    return {
        "mics": names(mic.mic for mic in mics),
        "about": tuple(Name(mic.mic) for mic in mics),
        "rests_on": (*MICS, *NOISE),
        "acts": acts,
    }


def _figure(value: float | None, unit: Unit) -> Figure | None:
    return None if value is None else Figure(value, unit)
