"""Fields of a camera, read as crews say them: shutters and stops."""

from __future__ import annotations

import re
from typing import Any

from scout.errors import Refused
from scout.units import parse_number
from scout.values import said
from scout.web.forms.fields import NumberField

ANGLE_AT_FPS = 25.0  # an angle without a frame rate is read at this, as most of our clocks run
ANGLE = re.compile(
    r"(\d+(?:[.,]\d+)?)\s*deg(?:rees?)?\s*(?:(?:at|@)\s*(\d+(?:[.,]\d+)?)\s*(?:fps|p)?)?"
)


class ShutterField(NumberField):
    """Seconds that the shutter is open, as crews say it: 1/50, 1/50 s, 50; or its angle, 180 degrees."""

    inputmode = "text"
    reads = ""

    def read(self) -> float | None:
        """Seconds. Raises Refused. A whole number of two or more is taken for its part of a second."""
        if self.blank:
            return None
        text = self.text.strip().lower().replace("°", " deg")
        angle = ANGLE.fullmatch(text)
        if angle:
            rate = float(angle[2].replace(",", ".")) if angle[2] else ANGLE_AT_FPS
            degrees = float(angle[1].replace(",", "."))
            if not 0 < degrees <= 360 or not rate > 0:
                raise Refused(self.short_name, self.text, said("refused.shutter"))
            return degrees / 360.0 / rate
        text = re.sub(r"\s*(s|sec|seconds?)$", "", text)
        over, _, under = text.rpartition("/")
        seconds = parse_number(under, name=self.short_name, accepted=said("typed.shutter"))
        if over:
            top = parse_number(over, name=self.short_name, accepted=said("typed.shutter"))
            if not seconds:
                raise Refused(self.short_name, self.text, said("refused.shutter"))
            return top / seconds
        # 50 is 1/50 s; whoever means seconds writes the unit
        if seconds >= 2 and text == self.text.strip().lower():
            return 1.0 / seconds
        return seconds

    def show(self, value: Any) -> None:
        """As a part of a second where that is exact, else in seconds."""
        super().show(value)
        if value is not None:
            seconds = float(value)
            part = round(1.0 / seconds) if 0 < seconds < 1 else 0
            if part and 1.0 / part == seconds:
                self.text = f"1/{part}"
            elif seconds >= 2:
                self.text += " s"


class StopField(NumberField):
    """A stop, with or without the f before it: f/2.8, f2.8, T 2.8, 2.8."""

    inputmode = "text"
    reads = ""

    def read(self) -> float | None:
        """The number alone. Raises Refused."""
        if self.blank:
            return None
        bare = re.sub(r"^\s*[fFtT]\s*/?\s*", "", self.text)
        return parse_number(bare, name=self.short_name, accepted=said("typed.stop"))
