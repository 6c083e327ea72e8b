"""The shapes of every answer: one frozen dataclass a block of the room assessment, and how they
become JSON.

Each block carries `assumed` (plain sentences) and `unknown` (why a figure is missing, or None).
Field names are the
published keys of `room-assessment/1`; a figure that could not be worked out is None and `unknown`
says why.
"""

from scout.assess.answers.acts import act, without_rivals
from scout.assess.answers.alike import merged
from scout.assess.answers.base import (
    Answer,
    Interval,
    Placement,
    Point,
    Risk,
    unmeasured,
)
from scout.assess.answers.bounce import (
    BounceAnswer,
    Cover,
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
    MoonAnswer,
    PatchPolygon,
    RangeFact,
    ReadAnswer,
    SunAnswer,
    SunPatchAnswer,
    WindowSunAnswer,
)
from scout.assess.answers.finding import (
    BEFORE,
    LEVELS,
    LOAD_IN,
    ON_DAY,
    Act,
    Change,
    Finding,
    Level,
    When,
    worst_first,
    worst_level,
)
from scout.assess.answers.fit import (
    BackdropAnswer,
    BoomAnswer,
    ExposureAnswer,
    FaceLight,
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
from scout.assess.answers.power import (
    AssignmentAnswer,
    CircuitAnswer,
    PlugAnswer,
    PowerAnswer,
    Unplaced,
)
from scout.assess.answers.sound import MicAnswer, SoundAnswer
from scout.assess.answers.whole import BlockNote, RoomAssessment

__all__ = [
    "BEFORE",
    "LEVELS",
    "LOAD_IN",
    "ON_DAY",
    "Act",
    "Answer",
    "AssignmentAnswer",
    "BackdropAnswer",
    "BlockNote",
    "BoomAnswer",
    "BounceAnswer",
    "Change",
    "CircuitAnswer",
    "Cover",
    "Crossing",
    "DaylightAnswer",
    "EventsAnswer",
    "ExposureAnswer",
    "FaceLight",
    "Finding",
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
    "MoonAnswer",
    "MotionAnswer",
    "PatchPolygon",
    "PathLight",
    "Placement",
    "PlanLight",
    "PlugAnswer",
    "Point",
    "PowerAnswer",
    "RangeFact",
    "ReadAnswer",
    "RemedyAnswer",
    "Risk",
    "RoomAssessment",
    "ShadowAnswer",
    "SoundAnswer",
    "SunAnswer",
    "SunPatchAnswer",
    "SurroundAnswer",
    "Unplaced",
    "ViewAnswer",
    "WallView",
    "WayAnswer",
    "When",
    "WindowLightAnswer",
    "WindowSunAnswer",
    "act",
    "as_json",
    "merged",
    "unmeasured",
    "without_rivals",
    "worst_first",
    "worst_level",
]
