"""How the daylight of a room is asked for: the size of its drawings, and the plane that light falls on."""

from __future__ import annotations

from scout.assess.daylight.mark.planes import Way
from scout.drawing.lettering import SCREEN_WIDE_MM
from scout.pages.medium import Medium

PRINT_MM, SCREEN_MM = (168.0, 150.0), (SCREEN_WIDE_MM, 160.0)


class Sheet(Medium):
    """How a drawing of the daylight is wanted."""

    @property
    def size_mm(self) -> tuple[float, float]:
        """The room there is for it."""
        return PRINT_MM if self.for_print else SCREEN_MM


def way_of(mark: str) -> Way:
    """The plane on which light over time is counted: what the camera sees of the subject; at the
    camera's own mark a level one.
    """
    return "camera" if mark == "subject" else "level"
