"""What a drawing is for: the screen or paper, and whose units."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from scout.drawing.lettering import (
    PLAN_PRINT_TEXT_MM,
    SCREEN_TEXT_MM,
    helvetica_width,
)
from scout.packet.setting.text import letter_width
from scout.units import Units


@dataclass(frozen=True)
class Medium:
    """How a drawing is wanted."""

    units: Units = "metric"
    for_print: bool = False

    @property
    def letters(self) -> dict[str, Any]:
        """The size and the breadth of its letters, as every drawing takes them."""
        if self.for_print:
            return {"text_mm": PLAN_PRINT_TEXT_MM, "text_width": letter_width()}
        return {"text_mm": SCREEN_TEXT_MM, "text_width": helvetica_width}
