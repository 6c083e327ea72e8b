"""The shapes of every answer: one frozen dataclass a block of the room assessment, and how they
become JSON.

Each block carries `assumed` (plain sentences) and `unknown` (why a figure is missing, or None).
Field names are the
published keys of `room-assessment/1`; a figure that could not be worked out is None and `unknown`
says why.
"""

from scout.assess.answers.base import (
    LEVELS,
    Answer,
    Interval,
    Level,
    Placement,
    Point,
    Risk,
    Verdict,
)
from scout.assess.answers.bounce import (
    BounceAnswer,
    MixedAnswer,
    MixedSide,
    RemedyAnswer,
    SurroundAnswer,
    WindowLightAnswer,
)
from scout.assess.answers.daylight import (
    Crossing,
    DaylightAnswer,
    EventsAnswer,
    IntervalRange,
    LuxPoint,
    MarkDaylight,
    PatchPolygon,
    SunAnswer,
    SunPatchAnswer,
    WindowSunAnswer,
)
from scout.assess.answers.fit import (
    BackdropAnswer,
    BoomAnswer,
    FitAnswer,
    FlickerAnswer,
    FramingAnswer,
    MotionAnswer,
    PathLight,
    PlanLight,
    ShadowAnswer,
    ViewAnswer,
    WallView,
    WayAnswer,
)
from scout.assess.answers.plain import as_json
from scout.assess.answers.power import AssignmentAnswer, CircuitAnswer, PowerAnswer, Unplaced
from scout.assess.answers.sound import MicAnswer, SoundAnswer
from scout.assess.answers.whole import BlockNote, RoomAssessment

__all__ = [
    "LEVELS",
    "Answer",
    "AssignmentAnswer",
    "BackdropAnswer",
    "BlockNote",
    "BoomAnswer",
    "BounceAnswer",
    "CircuitAnswer",
    "Crossing",
    "DaylightAnswer",
    "EventsAnswer",
    "FitAnswer",
    "FlickerAnswer",
    "FramingAnswer",
    "Interval",
    "IntervalRange",
    "Level",
    "LuxPoint",
    "MarkDaylight",
    "MicAnswer",
    "MixedAnswer",
    "MixedSide",
    "MotionAnswer",
    "PatchPolygon",
    "PathLight",
    "Placement",
    "PlanLight",
    "Point",
    "PowerAnswer",
    "RemedyAnswer",
    "Risk",
    "RoomAssessment",
    "ShadowAnswer",
    "SoundAnswer",
    "SunAnswer",
    "SunPatchAnswer",
    "SurroundAnswer",
    "Unplaced",
    "Verdict",
    "ViewAnswer",
    "WallView",
    "WayAnswer",
    "WindowLightAnswer",
    "WindowSunAnswer",
    "as_json",
]
