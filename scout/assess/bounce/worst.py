"""Which of the judged rows is the best to bounce off, and which cast is the worst."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TypeVar

from scout.assess.answers import (
    BounceAnswer,
    Risk,
    RoomAssessment,
    SurroundAnswer,
    WindowLightAnswer,
)
from scout.calc.bounce.shift import POINTLESS_STOPS, RISKS

# a shadow this far under the key is near black in most grades (common practice): its colour hardly
# shows
DEEP_SHADOW_STOPS = 4.0
Judged = BounceAnswer | SurroundAnswer | WindowLightAnswer
Row = TypeVar("Row", bound=Judged)


def cast_rank(row: Judged) -> tuple[int, float]:
    """Of two casts the worse has the greater rank: its class first, within a class its figure."""
    return RISKS.index(row.risk or "none"), row.delta_e or 0.0


def is_deep(side: str, contrast_stops: float | None) -> bool:
    """Whether a side of the face is a shadow too deep for its colour to show."""
    return side == "shadow" and (contrast_stops or 0.0) >= DEEP_SHADOW_STOPS


def worst_of(rows: Iterable[Row]) -> Row | None:
    """The row of the worst cast, of those that could be judged; the first of several alike."""
    return max(
        (row for row in rows if row.risk is not None and row.delta_e is not None),
        key=cast_rank,
        default=None,
    )


def worst_cast(found: RoomAssessment) -> SurroundAnswer | None:
    """The worst that the room does to a light aimed at the subject, of all lights and both sides;
    None where nothing could be judged. A bounce is not among them: nobody has to use it.
    """
    return worst_of(found.surround)


def best_of(rows: Sequence[BounceAnswer]) -> BounceAnswer | None:
    """The surface to bounce one light off, of its judged rows; None when none could be judged."""
    return min(
        (row for row in rows if row.risk is not None and row.loss_stops is not None),
        key=_rank,
        default=None,
    )


def _rank(row: BounceAnswer) -> tuple[bool, bool, int, float]:
    """Worth the lamp first, then from above or the side before from below, then the colour, then
    the loss.
    """
    loss = row.loss_stops if row.loss_stops is not None else 99.0
    return loss > POINTLESS_STOPS, row.surface == "floor", RISKS.index(row.risk or "high"), loss


WORTH = 0.5  # CIEDE2000: what gains less is not worth the walk (common practice)
FALLS_TO = 2 / 3  # of the cast: what leaves more of it, in the same class, changes nothing to see


def helps(before: float, after: float, doubt: float, risk_before: Risk, risk_after: Risk) -> bool:
    """Whether an act that changes a cast is worth offering: it falls by more than its doubt, to a
    lower class or to two thirds, and no class rises.
    """
    lower, same = RISKS.index(risk_after) < RISKS.index(risk_before), risk_after == risk_before
    return before - after > max(doubt, WORTH) and (lower or (same and after <= FALLS_TO * before))
