"""What can be found of the colour of bounced light: one class a code, its figures and what they mean."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar

from scout.assess.answers import Finding
from scout.assess.answers.finding import Topic
from scout.values import ColourCast, Many, Mired, Percent, Said, Stops, Word


@dataclass(frozen=True, kw_only=True)
class _Colour(Finding):
    topic: ClassVar[Topic] = "colour"


@dataclass(frozen=True, kw_only=True)
class BounceBest(_Colour):
    """The surface to bounce lights off, what it costs and what it does to skin.

    Why:    a bounce is the softest light there is, and the wall that serves it is not the nearest.
    Level:  good; care where the cast on the best surface is medium.
    Source: ranked by assess.bounce.worst.best_of: worth the lamp, not from below, colour, loss.
    """

    code = "colour.bounce_best"
    levels = ("care", "good")
    lights: Many
    surface: Word
    loss: Stops
    cast: ColourCast
    tint: Word | None  # None: no cast to see
    avoid: Many | None  # the surfaces that colour skin
    spill: Percent | None = None  # straight on the face where the lamp is not flagged


@dataclass(frozen=True, kw_only=True)
class BouncePoor(_Colour):
    """No surface of the room is worth bouncing these lights off.

    Why:    it is found out with the stand up and the talent waiting.
    Level:  care: nobody has to bounce.
    Source: beyond 5 stops the lamp is wasted; a high class of cast (calc.bounce.shift.risk_of).
    """

    code = "colour.bounce_poor"
    levels = ("care",)
    lights: Many
    surfaces: Many  # the best for each
    loss: Stops
    cast: ColourCast | None  # None: unknown or none to be seen, the loss alone decides
    tint: Word | None


@dataclass(frozen=True, kw_only=True)
class SpillLit(_Colour):
    """The room colours the side of the face that the light falls on.

    Why:    the camera is balanced to the lamp, so skin turns.
    Level:  by the class of cast: medium care, high problem.
    Source: calc.bounce.shift.risk_of (CIE TN 001, ANSI C78.377).
    """

    code = "colour.spill_lit"
    levels = ("problem", "care")
    lights: Many
    surfaces: Many | None
    tint: Word | None  # None: more than one, or a surface is not measured
    cast: ColourCast  # the worst


@dataclass(frozen=True, kw_only=True)
class SpillShadow(SpillLit):
    """A wall turns the shadow side of the face.

    Why:    what fills the shadow is the room, not the lamp; no white balance mends one cheek.
    Level:  by the class of cast: medium care, high problem; care in a shadow 4 stops down.
    Source: as for the lit side; a shadow 4 stops down is near black (common practice).
    """

    code = "colour.spill_shadow"
    contrast: Stops | None  # how far it lies under the lit side


@dataclass(frozen=True, kw_only=True)
class SpillClean(_Colour):
    """What the room adds to these lights keeps its colour on both sides of the face.

    Why:    nothing has to be hung.
    Level:  good.
    Source: classes none and low of calc.bounce.shift.risk_of.
    """

    code = "colour.spill_clean"
    levels = ("good",)
    lights: Many
    cast: ColourCast


@dataclass(frozen=True, kw_only=True)
class WindowCast(_Colour):
    """Walls colour the daylight that comes in through the windows.

    Why:    daylight off a coloured wall is no daylight, and a film set to it is wrong.
    Level:  by the class of cast of the worse side; care in a shadow 4 stops down, and where no
            wall is to blame but sun and sky, which differ by nature.
    Source: calc.bounce.shift.risk_of, by the hour and sky of the setup that are worst.
    """

    code = "colour.window_cast"
    levels = ("problem", "care")
    side: Word
    surface: Word | None
    tint: Word | None
    cast: ColourCast
    sky: Word
    at: datetime


@dataclass(frozen=True, kw_only=True)
class WindowClean(_Colour):
    """Daylight keeps its colour on both sides of the face.

    Why:    the windows can be used as they are.
    Level:  good.
    Source: classes none and low of calc.bounce.shift.risk_of.
    """

    code = "colour.window_clean"
    levels = ("good",)
    cast: ColourCast


@dataclass(frozen=True, kw_only=True)
class Mixed(_Colour):
    """Lamps and daylight of unlike colour on the two sides of the face.

    Why:    one white balance serves one cheek.
    Level:  by the class of the difference: medium care, high problem.
    Source: calc.bounce.shift.risk_of, camera balanced to the key side.
    """

    code = "colour.mixed"
    levels = ("problem", "care")
    cast: ColourCast
    apart: Mired | None
    sky: Word | None


@dataclass(frozen=True, kw_only=True)
class Unknown(_Colour):
    """What the room does to the colour of these lights, or of daylight, cannot be told.

    Why:    a coloured wall shows in the grade, when nobody can hang white any more.
    Level:  unknown: no bound helps, or what the doubt of the colours allows is of two levels.
    Source: assess.bounce.doubt: nine of ten draws of the surface colours.
    """

    code = "colour.unknown"
    levels = ("unknown",)
    lights: Many
    cast: ColourCast | None  # None: a wall may have any colour
    because: Said
