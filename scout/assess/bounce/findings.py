"""What the bounce figures mean on the day, one sentence a finding."""

from __future__ import annotations

from collections.abc import Sequence

from scout.assess.answers import (
    BounceAnswer,
    Finding,
    Level,
    RoomAssessment,
    SurroundAnswer,
    Verdict,
    WindowLightAnswer,
)
from scout.assess.bounce.room import surface_words
from scout.assess.bounce.worst import best_of
from scout.assess.setup import Setup
from scout.calc.bounce.shift import POINTLESS_STOPS, RISKS

BOUNCE, SURROUND, WINDOWS = "bounce", "surround", "window light"
# a shadow this far under the key is near black in most grades (common practice): its colour hardly
# shows
DEEP_SHADOW_STOPS = 4.0
LEVEL_OF_RISK: dict[str, Level] = {
    "none": "good",
    "low": "good",
    "medium": "care",
    "high": "problem",
}


def verdicts(
    bounces: Sequence[BounceAnswer], surrounds: Sequence[SurroundAnswer]
) -> tuple[Verdict, ...]:
    """One verdict a light on bouncing it, and one on what the room does to it when it is aimed at
    the subject.
    """
    found = [
        _bounce_verdict(light, [row for row in bounces if row.light == light])
        for light in dict.fromkeys(row.light for row in bounces)
    ]
    found += [
        _surround_verdict(light, [row for row in surrounds if row.light == light])
        for light in dict.fromkeys(row.light for row in surrounds)
    ]
    return tuple(found)


def window_verdict(rows: Sequence[WindowLightAnswer]) -> Verdict | None:
    """What the room does to daylight, by the hour that colours the shadow side most; None where
    nothing was worked out.
    """
    shadows = [
        row
        for row in rows
        if row.side == "shadow" and row.risk is not None and row.delta_e is not None
    ]
    if not shadows:
        return None
    worst = max(shadows, key=lambda row: (RISKS.index(row.risk or "none"), row.delta_e or 0.0))
    key = next(
        row for row in rows if row.side == "key" and (row.sky, row.at) == (worst.sky, worst.at)
    )
    under = (
        ""
        if worst.contrast_stops is None
        else f", {worst.contrast_stops:.1f} stops under the lit one,"
    )
    entering = "" if worst.entering_cct_k is None else f", {round(worst.entering_cct_k, -2):.0f} K"
    start = f"daylight through the windows ({worst.sky} sky, {worst.at:%H:%M}{entering})"
    if worst.risk in {"none", "low"} and key.risk in {"none", "low"}:
        return Verdict(
            WINDOWS,
            "good",
            f"{start} keeps its colour: the shadow side{under} is {worst.delta_e:.1f} off on grey at most",
        )
    where = f" off {surface_words(worst.worst_surface)}" if worst.worst_surface else ""
    lit = (
        ""
        if key.risk in {"none", "low"} or key.delta_e is None
        else f"; the lit side goes {key.tint} too (grey {key.delta_e:.1f} off)"
    )
    level = (
        "care"
        if worst.risk == "medium" or (worst.contrast_stops or 0.0) >= DEEP_SHADOW_STOPS
        else LEVEL_OF_RISK[worst.risk or "high"]
    )
    return Verdict(
        WINDOWS,
        level,
        f"{start}: the shadow side{under} goes {worst.tint}{where} (grey {worst.delta_e:.1f} off){lit}",
    )


def _what_it_does(row: BounceAnswer) -> str:
    """`turns skin visibly green (grey 8.3 off)`."""
    figure = f"grey {row.delta_e:.1f} off"
    words = {
        "none": "keeps its colour",
        "low": f"goes slightly {row.tint}",
        "medium": f"turns skin {row.tint}",
        "high": f"turns skin visibly {row.tint}",
    }
    return f"{words[row.risk or 'none']} ({figure})"


def _bounce_verdict(light: str, rows: list[BounceAnswer]) -> Verdict:
    best = best_of(rows)
    if best is None:
        # the reason that holds for most of the rows, not the peculiarity of one
        reasons = [row.unknown for row in rows if row.unknown]
        why = (
            max(dict.fromkeys(reasons), key=reasons.count)
            if reasons
            else "because nothing was worked out"
        )
        return Verdict(
            BOUNCE, "unknown", f"what bouncing {light} does is unknown, {why}{_ranges(rows)}"
        )
    judged = [row for row in rows if row.risk is not None and row.loss_stops is not None]
    worst = max(judged, key=lambda row: (RISKS.index(row.risk or "none"), row.delta_e or 0.0))
    best_words = f"bouncing {light} off {surface_words(best.surface)} costs {best.loss_stops:.1f} stops and {_what_it_does(best)}"
    if best.risk in {"none", "low"} and (best.loss_stops or 0.0) <= POINTLESS_STOPS:
        if worst.risk in {"none", "low"}:
            return Verdict(
                BOUNCE,
                "good",
                f"{best_words}; no other surface here does worse than {worst.risk} risk",
            )
        bad = f"bouncing {light} off {surface_words(worst.surface)} costs {worst.loss_stops:.1f} stops and {_what_it_does(worst)}"
        return Verdict(
            BOUNCE,
            "care",
            f"{bad}: use {surface_words(best.surface)}, {best.loss_stops:.1f} stops, which {_what_it_does(best)}",
        )
    if (best.loss_stops or 0.0) > POINTLESS_STOPS:
        return Verdict(
            BOUNCE,
            "problem",
            f"{best_words}, and no surface here costs less than {POINTLESS_STOPS:.0f} stops: bring a board or a silk",
        )
    level: Level = "care" if best.risk == "medium" else "problem"
    return Verdict(
        BOUNCE,
        level,
        f"{best_words}; nothing else here does better. Put {best.remedy}"
        if _is_gel(best)
        else f"{best_words}; nothing else here does better: {best.remedy}",
    )


def _is_gel(row: BounceAnswer) -> bool:
    """Whether the row's remedy is something to put on the light."""
    return (
        row.mired_shift is not None
        and row.risk in {"medium", "high"}
        and (row.loss_stops or 0.0) <= POINTLESS_STOPS
    )


def _ranges(rows: list[BounceAnswer]) -> str:
    known = [row for row in rows if row.loss_stops_range is not None]
    if not known:
        return ""
    best = min(
        known, key=lambda row: (row.surface == "floor", row.loss_stops_range or (99.0, 99.0))
    )
    low, high = best.loss_stops_range or (0.0, 0.0)
    return f"; off {surface_words(best.surface)} it costs {low:.1f} to {high:.1f} stops, by how pale the rest is"


def _surround_verdict(light: str, rows: list[SurroundAnswer]) -> Verdict:
    sides = {row.side: row for row in rows}
    key, shadow = sides.get("key"), sides.get("shadow")
    if key is None or key.risk is None or key.delta_e is None or key.bounced_share is None:
        why = next((row.unknown for row in rows if row.unknown), "because nothing was worked out")
        return Verdict(SURROUND, "unknown", f"what the room adds to {light} is unknown, {why}")
    start = f"{light} aimed at the subject: {100 * key.bounced_share:.0f} % of the lit side is bounced light, grey {key.delta_e:.1f} off"
    if key.risk in {"medium", "high"}:
        where = f", mostly from {surface_words(key.worst_surface)}" if key.worst_surface else ""
        return Verdict(
            SURROUND, LEVEL_OF_RISK[key.risk], f"{start} towards {key.tint}{where}: {key.remedy}"
        )
    if (
        shadow is None
        or shadow.risk is None
        or shadow.delta_e is None
        or shadow.contrast_stops is None
    ):
        return Verdict(SURROUND, "good", f"{start}; no light reaches the shadow side")
    fill = f"the shadow side, {shadow.contrast_stops:.1f} stops under,"
    if shadow.risk in {"none", "low"}:
        return Verdict(
            SURROUND, "good", f"{start}; {fill} keeps its colour (grey {shadow.delta_e:.1f} off)"
        )
    level: Level = (
        "care"
        if shadow.risk == "medium" or shadow.contrast_stops >= DEEP_SHADOW_STOPS
        else "problem"
    )
    where = f" off {surface_words(shadow.worst_surface)}" if shadow.worst_surface else ""
    return Verdict(
        SURROUND,
        level,
        f"{start}; {fill} fills {shadow.tint}{where} (grey {shadow.delta_e:.1f} off): {shadow.remedy}",
    )


def findings(setup: Setup, found: RoomAssessment) -> tuple[Finding, ...]:
    """What this comes to for a setup."""
    return ()
