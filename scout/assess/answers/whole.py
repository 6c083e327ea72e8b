"""The whole assessment of one room on one date (`room-assessment/1`)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from scout.assess.answers.base import Placement
from scout.assess.answers.bounce import (
    BounceAnswer,
    MixedAnswer,
    RemedyAnswer,
    SurroundAnswer,
    WindowLightAnswer,
)
from scout.assess.answers.daylight import (
    DaylightAnswer,
    EventsAnswer,
    SunAnswer,
    SunPatchAnswer,
    WindowSunAnswer,
)
from scout.assess.answers.finding import Finding
from scout.assess.answers.fit import FitAnswer, WayAnswer
from scout.assess.answers.plain import KEPT_BACK
from scout.assess.answers.power import PowerAnswer
from scout.assess.answers.sound import SoundAnswer
from scout.records.sheet import RoomSheet
from scout.values import Said


@dataclass(frozen=True)
class BlockNote:
    """`assumed` and `unknown` of a block that is a list of rows (windows, bounce, surround)."""

    assumed: tuple[Said, ...] = ()
    unknown: Said | None = None


@dataclass(frozen=True, kw_only=True)
class RoomAssessment:
    """Everything worked out for one room on one date (`room-assessment/1`)."""

    date: date
    # what the answers are for: in its time zone, with its camera where the acts set it
    sheet: RoomSheet = field(metadata=KEPT_BACK)
    timezone: str | None
    events: EventsAnswer
    windows: tuple[WindowSunAnswer, ...]
    daylight: DaylightAnswer
    bounce: tuple[BounceAnswer, ...]
    surround: tuple[SurroundAnswer, ...]
    sound: SoundAnswer
    power: PowerAnswer
    fit: FitAnswer
    findings: tuple[Finding, ...] = ()  # worst first
    cautions: tuple[Said, ...]
    blocks: Mapping[str, BlockNote]
    placements: Mapping[str, Placement]
    sun: SunAnswer | None = None
    sun_patches: tuple[SunPatchAnswer, ...] | None = None
    ways: tuple[WayAnswer, ...] = ()  # to light the face, the available light first
    schema: str = "room-assessment/1"
    remedies: tuple[RemedyAnswer, ...] | None = (
        None  # None: not asked for; they take longer than all the rest
    )
    mixed: MixedAnswer | None = None  # daylight as under an overcast sky
    mixed_clear: MixedAnswer | None = None  # as under a clear one
    window_surround: tuple[WindowLightAnswer, ...] | None = (
        None  # daylight as `surround` has the lights; None: not asked for
    )
