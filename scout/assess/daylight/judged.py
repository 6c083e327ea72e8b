"""Which light a subject is judged by: a face is exposed by the light on the side that the camera
sees; the level plane stands in where that is not known.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from scout.assess.answers import DaylightAnswer, MarkDaylight

SIDE, LEVEL = "on the side that the camera sees", "on a level plane"


@dataclass(frozen=True)
class JudgedLight:
    """The figures at the subject that every judgement goes by, and `where` they hold."""

    side: bool  # on the side that the camera sees, else on a level plane
    overcast_lux_noon: float | None
    clear_lux_noon: float | None
    enough_from: datetime | None  # an overcast sky brings what the camera needs
    enough_until: datetime | None
    clear: tuple[tuple[datetime, float], ...]  # under a clear sky, through the day

    @property
    def where(self) -> str:
        """The plane in words."""
        return SIDE if self.side else LEVEL

    def enough_clear(self, needed_lux: float) -> tuple[datetime, datetime] | None:
        """First and last of the day's points at which a clear sky brings what is needed."""
        bright = [at for at, lux in self.clear if lux >= needed_lux]
        return (bright[0], bright[-1]) if bright else None


def judged_light(light: DaylightAnswer) -> JudgedLight | None:
    """The light at the subject by the plane that it is judged by; None without a subject."""
    mark = light.marks.get("subject")
    if mark is None:
        return None
    if mark.camera_overcast_lux_noon is not None:
        return JudgedLight(
            True,
            mark.camera_overcast_lux_noon,
            mark.camera_clear_lux_noon,
            mark.camera_enough_from,
            mark.camera_enough_until,
            _clear(mark, side=True),
        )
    return JudgedLight(
        False,
        mark.overcast_lux_noon,
        mark.clear_lux_noon,
        light.enough_from,
        light.enough_until,
        _clear(mark, side=False),
    )


def _clear(mark: MarkDaylight, *, side: bool) -> tuple[tuple[datetime, float], ...]:
    shown = (
        (point.at, point.camera_clear_lux if side else point.clear_lux) for point in mark.series
    )
    return tuple((at, lux) for at, lux in shown if lux is not None)
