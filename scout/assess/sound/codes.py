"""What can be found of a room's sound: one class a code, its figures and what they mean."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from scout.assess.answers import Finding
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
    Word,
)

Nc = Annotated[Figure, "NC"]


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
class SwitchedOff(_Sound):
    """A noise is judged as switched off.

    Why:    the figures hold only if somebody does it, and it must run again afterwards.
    Level:  care.
    Source: property: what a setup names as switched off.
    """

    code = "sound.switched_off"
    levels = ("care",)
    noise: Name


@dataclass(frozen=True, kw_only=True)
class LampOff(Finding):
    """A lamp of the room is judged as switched off.

    Why:    light and its colour are worked out without it.
    Level:  care.
    Source: property: what a setup names as switched off.
    """

    topic = "light"
    code = "light.lamp_off"
    levels = ("care",)
    lamp: Name


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
    clarity: Decibels | None = None


@dataclass(frozen=True, kw_only=True)
class MicClean(_BestMic):
    """The best microphone records speech cleanly.

    Why:    it is the one to use.
    Level:  good; the others are told by findings of their own.
    Source: assess.sound.sound.placement: 30 dB over the noise, C50 12 dB, centre time 30 ms.
    """

    code = "sound.mic_clean"


@dataclass(frozen=True, kw_only=True)
class MicUsable(_BestMic):
    """The best microphone records usable speech.

    Why:    it is the one to use.
    Level:  good; the others are told by findings of their own.
    Source: assess.sound.sound.placement: 20 dB over the noise, C50 6 dB, centre time 60 ms.
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
    Source: assess.sound.sound.placement: 12 dB over the noise, C50 0 dB, centre time 80 ms.
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
