"""What frames the windows outside: how light reveals and overhangs are, and what is taken where
nobody judged it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from scout.calc.daylight.window.glazing import Glazing
from scout.records.sheet import Window
from scout.values import Figure, Said, said, words

# Reveals and the undersides of overhangs: dark brick to fresh white (common practice).
USUAL_FRAME, DARK_FRAME, PALE_FRAME = 0.40, 0.10, 0.85


def frame_open(windows: Sequence[Window], glazing: Sequence[Glazing]) -> tuple[str, ...]:
    """Paths of what is not measured of what frames the windows outside."""
    panes = {glass.id: glass.pane for glass in glazing}
    found = []
    for window in windows:
        pane = panes.get(window.id)
        if pane is not None and pane.reveal_m > 0 and window.reveal_reflectance is None:
            found.append(f"windows.{window.id}.reveal_reflectance")
        if pane is not None and pane.overhang_m > 0 and window.overhang_reflectance is None:
            found.append(f"windows.{window.id}.overhang_reflectance")
    return tuple(found)


def framing_words(windows: Sequence[Window], glazing: Sequence[Glazing]) -> Iterator[Said]:
    """What is taken of what frames the windows outside."""
    if facts := frame_open(windows, glazing):
        share = Figure(100 * USUAL_FRAME, "%", 100 * DARK_FRAME, 100 * PALE_FRAME)
        yield said("light.frames_taken", facts=words("fact", facts), share=share)
    if any(glass.framed for glass in glazing):
        yield said("light.frame_limits")
