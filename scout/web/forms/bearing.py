"""A field for the way something looks."""

from __future__ import annotations

from typing import Any

from scout.units import parse_bearing
from scout.web.forms.fields import NumberField


class BearingField(NumberField):
    """Degrees clockwise from north, or a word of the compass."""

    inputmode = "text"  # a number pad has no letters
    reads = "bearing"

    def __init__(self, label: str, **rest: Any) -> None:
        super().__init__(label, unit="°", **rest)

    def read(self) -> float | None:
        """The degrees typed. Raises Refused."""
        return None if self.blank else parse_bearing(self.text, name=self.short_name)[0]

    @property
    def doubt_deg(self) -> float | None:
        """How good a word of the compass is; None where degrees are typed. Raises Refused."""
        return None if self.blank else parse_bearing(self.text, name=self.short_name)[1]
