"""Judging the sound: noise at the setup's hours, reverb, and what each microphone will do."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import time
from typing import Any

from scout.assess.answers import Act, Finding, MicAnswer, RoomAssessment, SoundAnswer, act
from scout.assess.answers.finding import MOST_ACTS
from scout.assess.setup import Setup
from scout.assess.sound.acts import (
    blankets,
    have_conditions,
    lav,
    nearer,
    switch_off,
    wait_for,
)
from scout.assess.sound.codes import (
    FlutterEcho,
    LampOff,
    Loud,
    MicClean,
    MicGuideOnly,
    MicUnknown,
    MicUnusable,
    MicUsable,
    NoisesCome,
    NoiseUnknown,
    Noisy,
    NotReadThen,
    Quiet,
    ReverbDry,
    ReverbLive,
    ReverbUnknown,
    Rumble,
    SwitchedOff,
)
from scout.assess.sound.hours import Shoot, noises_then
from scout.assess.sound.room import RoomSound, room_sound
from scout.assess.sound.sound import (
    ACCEPTABLE_S,
    RUMBLE_DB,
    Ringing,
    judged_by,
    reverb_level,
    sound,
    voice_level,
    voice_noise,
)
from scout.calc.sound.speech import VERDICTS
from scout.records.sheet import Practical
from scout.records.sounds import NoiseWindowRecord
from scout.values import (
    Figure,
    Many,
    Name,
    Said,
    Spell,
    Unit,
    Word,
    names,
    words,
)

SWITCHING = ("have.conditions", "switch.off", "practical.off")
TELLING = 8.0  # bounds further apart than so many times say nothing that helps
SAID_DOUBT_DB = 2.0  # a smaller doubt of the level is not worth a word
NOISE, SURFACES, MICS = ("room.noise",), ("room.surfaces", "room.contents"), ("kit.mics",)


def findings(setup: Setup, found: RoomAssessment) -> tuple[Finding, ...]:
    """What the sound comes to for a setup."""
    return (
        *_noise(setup, found.sound),
        *_noises(setup, found.sound),
        *_switched_off(setup, found.sound),
        *_reverb(setup, found),
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


def _switched_off(setup: Setup, heard: SoundAnswer) -> Iterator[Finding]:
    for thing in setup.off:
        acts = tuple(switch_off(setup, heard, thing))
        if isinstance(thing, Practical):
            name = Name(thing.id)
            yield LampOff(level="care", lamp=name, about=(name,), acts=acts)
            continue
        told = thing.what if isinstance(thing, NoiseWindowRecord) else thing.conditions or thing.id
        name = Name(told)
        yield SwitchedOff(level="care", noise=name, about=(name,), acts=acts)


def switching(setup: Setup) -> tuple[Act, ...]:
    """What has to be off, or otherwise, in the hours of a setup, each once."""
    heard = sound(setup)
    found = (*_noise(setup, heard), *_noises(setup, heard), *_switched_off(setup, heard))
    acts = dict.fromkeys(act for finding in found for act in finding.acts)
    return tuple(one for one in acts if one.code in SWITCHING)


def _reverb(setup: Setup, found: RoomAssessment) -> Iterator[Finding]:
    room, heard = setup.sheet.room, found.sound
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
            time=_time(ringing) if isinstance(ringing, Ringing) and _tells(ringing) else None,
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
        acts=tuple(blankets(setup, found, computed, ringing)),
    )


def _tells(ringing: Ringing) -> bool:
    """Whether the bounds are near enough to say something; "0.0 to 5.9 s" does not."""
    low, high = ringing.range_s
    return high <= TELLING * low


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
            clarity=_figure(best.c50_db, "dB"),
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
