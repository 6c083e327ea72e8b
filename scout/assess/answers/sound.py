"""Answers about the room's own sound and speech at each microphone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from scout.assess.answers.base import Answer
from scout.values import Name, Said

JudgedBy = Literal["measured", "computed"]
SpeechVerdict = Literal["clean", "usable", "repair", "unusable"]


@dataclass(frozen=True, kw_only=True)
class MicAnswer(Answer):
    mic: str
    speech_db: float | None = None
    snr_db: float | None = None
    snr_range_db: tuple[float, float] | None = None  # by the doubt of the noise that was read
    critical_distance_m: float | None = None
    direct_to_reverberant_db: float | None = None
    c50_db: float | None = None  # early over late energy at its own distance, ISO 3382-1
    c50_range_db: tuple[float, float] | None = None  # over the range of the reverberation
    centre_time_ms: float | None = None
    verdict: SpeechVerdict | None = None
    noise_db: float | None = None  # A-weighted, as this microphone hears it, its own noise included
    room_word: Literal["dry", "good", "roomy", "distant"] | None = None
    kind: str | None = None
    distance_m: float | None = None


@dataclass(frozen=True, kw_only=True)
class SoundAnswer(Answer):
    laeq_db: float | None = None
    laeq_range_db: tuple[float, float] | None = None  # by how it was read
    nc: float | None = None
    nc_set_by_hz: int | None = None
    rt60_s: Mapping[str, float] | None = None
    rt60_mid_s: float | None = None
    rt60_range_s: tuple[float, float] | None = None  # alone, where materials are not recorded
    schroeder_hz: float | None = None
    placements: tuple[MicAnswer, ...] = ()
    nc_text: Said | None = None
    nc_tie_hz: tuple[int, ...] = ()  # every band that sets the NC
    reading: Name | None = None  # the noise reading the figures are taken from
    read_at_hours: bool | None = None  # at the setup's time of day; None: it has no hours
    conditions: Name | None = None
    laeq_doubt_db: float | None = None
    lceq_db: float | None = None
    rt60_formula: Mapping[str, str] | None = None  # by octave: Sabine or Eyring
    rt60_range_because: Said | None = None
    # by octave, from recorded bursts that are good there
    rt60_measured_s: Mapping[str, float] | None = None
    rt60_measured_mid_s: float | None = None
    rt60_measured_range_s: tuple[float, float] | None = None
    rt60_measured_unused: Said | None = None  # why bursts that were recorded are not judged by
    rt60_judged_by: JudgedBy | None = None  # what the findings and the critical distances use
    open_air: bool = False
    unknown_by: Mapping[str, Said] = field(
        default_factory=dict
    )  # "noise", "nc", "room", "placements": why each is missing

    @property
    def judged_s(self) -> float | None:
        """The reverberation that is judged by, measured or computed."""
        return self.rt60_measured_mid_s if self.rt60_judged_by == "measured" else self.rt60_mid_s
