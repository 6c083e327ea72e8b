"""What the fit comes to, in one plain sentence each: the framings, the three-point plan, the key's
strength.
"""

from __future__ import annotations

from scout.assess.answers import (
    Finding,
    FitAnswer,
    FramingAnswer,
    PlanLight,
    RoomAssessment,
    Verdict,
)
from scout.assess.fit.words import SMALL_DEG
from scout.assess.setup import Setup
from scout.calc.fit.framing import FACE_DISTORTION_M
from scout.calc.fit.threepoint import RATIO_TOLERANCE_STOPS


def verdicts(answer: FitAnswer) -> tuple[Verdict, ...]:
    """Up to three judgements: the framings, the three-point plan, the key's strength."""
    return tuple(
        verdict
        for verdict in (_framing_verdict(answer), _plan_verdict(answer), _strength_verdict(answer))
        if verdict is not None
    )


def _framing_verdict(answer: FitAnswer) -> Verdict:
    judged = [row for row in answer.framings if row.fits is not None]
    if not judged:
        because = (
            answer.unknown
            or next((row.unknown for row in answer.framings if row.unknown), None)
            or "because no framing could be worked out"
        )
        return Verdict("fit", "unknown", f"What the lenses can frame here is unknown, {because}.")
    fitting = _framings_that_fit(judged)
    missing = [name for name in dict.fromkeys(row.name for row in judged) if name not in fitting]
    if not fitting:
        return Verdict(
            "fit",
            "problem",
            f"None of the framings fits with these lenses: {judged[0].why or 'the room is too short'}.",
        )
    told = "; ".join(
        f"{name.replace('_', ' ')} with {_lens_list(rows)}" for name, rows in fitting.items()
    )
    close = [
        row
        for rows in fitting.values()
        for row in rows
        if row.name in ("medium", "head_and_shoulders")
    ]
    if not close:
        return Verdict("fit", "care", f"No face framing fits; what fits is {told}.")
    if all(row.distance_m is not None and row.distance_m < FACE_DISTORTION_M for row in close):
        return Verdict(
            "fit",
            "care",
            f"Faces fit only from under {FACE_DISTORTION_M:g} m, where they are drawn out of shape: {told}.",
        )
    short = (
        f"; {', '.join(name.replace('_', ' ') for name in missing)} with none" if missing else ""
    )
    return Verdict("fit", "good" if len(missing) <= 1 else "care", f"Fits {told}{short}.")


def _framings_that_fit(rows: list[FramingAnswer]) -> dict[str, list[FramingAnswer]]:
    found: dict[str, list[FramingAnswer]] = {}
    for row in rows:
        if row.fits:
            found.setdefault(row.name, []).append(row)
    return found


def _lens_list(rows: list[FramingAnswer]) -> str:
    first, last = rows[0], rows[-1]
    shown = (
        f"{first.focal_length_mm:g}"
        if first is last
        else f"{first.focal_length_mm:g} to {last.focal_length_mm:g}"
    )
    return f"{shown} mm" + (
        f" at {first.distance_m:.2f} m" if first is last and first.distance_m is not None else ""
    )


def _plan_verdict(answer: FitAnswer) -> Verdict:
    rows = {name: answer.plan[name] for name in ("key", "fill", "back") if name in answer.plan}
    key = rows.get("key")
    if key is None or (key.light is None and key.unknown is not None):
        return Verdict(
            "fit",
            "unknown",
            f"Where the lights can stand is unknown, {(key and key.unknown) or 'because there is no plan'}.",
        )
    if key.fits is None:
        return Verdict(
            "fit",
            "unknown",
            f"Whether the key can stand unseen is unknown, {key.unknown or 'because it is not judged'}.",
        )
    if key.at_m is None:
        return Verdict("fit", "problem", f"The key has no place: {key.why}.")
    lacking = [f"{name} {_where(row)}" for name, row in rows.items() if row.fits is False]
    if lacking:
        return Verdict(
            "fit", "care", f"Not every light can stand as it should: {'; '.join(lacking)}."
        )
    angles = (
        f"key {abs(key.across_deg or 0.0):.0f} degrees across and {key.down_deg or 0.0:.0f} down"
    )
    given_up = key.why is not None and abs((key.down_deg or 45.0) - 45.0) > SMALL_DEG
    missing = [name for name, row in rows.items() if row.light is None]
    more = f"; the kit has no light for {' or '.join(missing)}" if missing else ""
    return Verdict(
        "fit",
        "care" if missing else "good",
        f"The lights can stand out of frame, {angles}{' (45 is the ideal)' if given_up else ''}{more}.",
    )


def _where(row: PlanLight) -> str:
    """A light that does not fit, in a few words; the plan has them all."""
    if row.at_m is None or row.across_deg is None or row.down_deg is None:
        return "has no place"
    short = (
        f", {row.short_stops:.1f} stops too weak"
        if row.short_stops is not None and row.short_stops > RATIO_TOLERANCE_STOPS
        else ""
    )
    seen = (
        f", out of frame from {row.clear_from_mm:g} mm on"
        if row.clear_from_mm is not None
        else ", in frame with every lens"
    )
    return (
        f"reaches {abs(row.across_deg):.0f} degrees across and {row.down_deg:.0f} down{short}{seen}"
    )


def _strength_verdict(answer: FitAnswer) -> Verdict | None:
    key = answer.plan.get("key")
    if key is None or key.at_m is None:
        return None
    if key.lux is None:
        return Verdict(
            "fit",
            "unknown",
            "Whether the key is strong enough is unknown, because its lux at 1 m is not recorded.",
        )
    if answer.needed_lux is None:
        return Verdict(
            "fit",
            "unknown",
            f"The key gives {key.lux:.0f} lx at the face; what the camera needs is unknown, because f-number, shutter "
            "and ISO are not all recorded.",
        )
    told = f"The key gives {key.lux:.0f} lx at the face and the camera needs {answer.needed_lux:.0f} lx"
    short = key.short_stops or 0.0
    if key.lux <= 0:
        return Verdict("fit", "problem", f"{told}: it is pointed away from the subject.")
    if short <= RATIO_TOLERANCE_STOPS:
        return Verdict("fit", "good", f"{told}: {key.dim_stops or 0.0:.1f} stops to spare.")
    return Verdict(
        "fit", "care" if short <= 1.0 else "problem", f"{told}: {short:.1f} stops short."
    )


def findings(setup: Setup, found: RoomAssessment) -> tuple[Finding, ...]:
    """What this comes to for a setup."""
    return ()
