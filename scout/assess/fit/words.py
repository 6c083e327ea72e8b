"""The sentences of the fit: what speaks against a place, what is lost by the next best, what the
day already gives.
"""

from __future__ import annotations

from collections.abc import Sequence

from scout.assess.answers import DaylightAnswer
from scout.assess.daylight.judged import judged_light
from scout.calc.fit.framing import BEHIND_LENS_M, CameraPlace
from scout.calc.fit.lights import Lamp, Stage, highest_m
from scout.calc.fit.space import SUBJECT_RADIUS_M
from scout.calc.fit.threepoint import NoSpot, Spot

SMALL_DEG = 2.0


def joined(parts: Sequence[str]) -> str:
    """`a, b and c`."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def against(reason: str, stage: Stage, lamp: Lamp, exits: Sequence[str], *, walled: bool) -> str:
    """One reason against a place, as a clause."""
    if reason == "ceiling":
        top = highest_m(stage.space, lamp)
        ceiling = stage.space.ceiling_m
        if ceiling is not None and top < lamp.stand_max_m:
            return f"the ceiling at {ceiling:.2f} m lets the middle of the head up to {top:.2f} m"
        return f"the stand reaches from {lamp.stand_min_m:.2f} to {lamp.stand_max_m:.2f} m"
    if reason == "frame":
        lens = f" with the {stage.views[0].focal_length_mm:g} mm lens" if stage.views else ""
        return f"its stand would be in frame{lens}"
    if (
        reason == "subject"
        and stage.space.ceiling_m is not None
        and highest_m(stage.space, lamp) < lamp.stand_max_m
    ):
        top = highest_m(stage.space, lamp)
        return (
            f"the ceiling at {stage.space.ceiling_m:.2f} m lets the middle of the head up to {top:.2f} m, which puts the ideal place "
            f"within {lamp.radius_m + SUBJECT_RADIUS_M:.1f} m of the subject"
        )
    doors = joined(sorted(set(exits))) if exits else "a door"
    return {
        "furniture": f"{_named(stage)} stands there",
        "hidden": f"{_named(stage)} hides the face from it",
        "beam": "the head of another light stands in its way to the face",
        "lead": "no mains lead of the kit reaches it",
        "wall": "a wall leaves it no floor there"
        if walled
        else "it would be off the usable ground",
        "sight": "a wall stands between it and the subject",
        "subject": f"it would be within {lamp.radius_m + SUBJECT_RADIUS_M:.1f} m of the subject",
        "camera": "it would stand on the floor of camera and operator",
        "exit": f"it would block the way out at {doors}",
        "path": "it would stand on the subject's path",
        "light": "another stand is there",
    }[reason]


def _named(stage: Stage) -> str:
    names = [block.name for block in stage.space.blocks]
    return names[0] if len(names) == 1 else "furniture"


def no_place(found: NoSpot, stage: Stage, lamp: Lamp) -> str:
    """Why a light has no place at all."""
    if found.reason == "ceiling":
        return (
            f"the ceiling at {stage.space.ceiling_m:.2f} m leaves {highest_m(stage.space, lamp):.2f} m for the middle of the head, "
            f"and the stand's least is {lamp.stand_min_m:.2f} m: use a lower stand, a clamp or a floor plate"
        )
    if found.reason == "frame":
        lens = stage.views[-1].focal_length_mm
        return f"wherever its stand has floor it is in frame, even with the {lens:g} mm lens: clamp it out of frame or light from outside"
    if found.reason == "side":
        return "no free floor for its stand is left on the side where such a light works: clamp it, light from outside, or leave it out"
    return "no free floor for its stand is left in sight of the subject: clamp it, light from outside, or leave it out"


def what_is_lost(
    spot: Spot,
    stage: Stage,
    lamp: Lamp,
    wanted: Sequence[float | None],
    exits: Sequence[str],
    *,
    walled: bool,
) -> str | None:
    """Why the ideal place is not taken and what the place found gives up; None when nothing to
    speak of.

    wanted: across and down of the ideal [deg], down None when the height is what matters
    """
    across, down = wanted
    lost = []
    if across is not None and abs(spot.off_across_deg) > SMALL_DEG:
        lost.append(f"{abs(spot.across_deg):.0f} degrees across instead of {across:.0f}")
    if down is not None and abs(spot.off_down_deg) > SMALL_DEG:
        lost.append(f"{spot.down_deg:.0f} degrees down instead of {down:.0f}")
    tells = []
    if lost and spot.against_ideal:
        told = [against(reason, stage, lamp, exits, walled=walled) for reason in spot.against_ideal]
        tells.append(
            f"the ideal place is not to be had ({'; '.join(told)}); the nearest gives {joined(lost)}"
        )
    elif lost:
        tells.append(f"it gives {joined(lost)}")
    if down is not None and spot.down_deg < 20.0:
        tells.append("light so low is flat and spills on the wall behind")
    if not spot.near:
        tells.append("that is too far from the ideal to count as such a light")
    if (
        stage.views
        and spot.clear_from_mm is not None
        and spot.clear_from_mm > stage.views[0].focal_length_mm
    ):
        tells.append(
            f"in frame with shorter lenses: it is out of frame from {spot.clear_from_mm:g} mm on"
        )
    return "; ".join(tells) or None


def framing_why(
    place: CameraPlace,
    distance_m: float,
    background_m: float,
    exits: Sequence[str],
    *,
    walled: bool,
    moves: bool,
    blocks: Sequence[str] = (),
) -> str | None:
    """Why a framing does not fit, and what would help; None when it does. `moves`: the subject
    could step back.
    """
    edge = "the wall" if walled else "the edge of the usable ground"
    if place.reason == "room":
        left = place.available_m - distance_m
        if left <= 0:
            told = f"needs {distance_m:.2f} m and there are {place.available_m:.2f} m to {edge}"
        else:
            told = (
                f"needs {distance_m:.2f} m, which leaves {left:.2f} m behind the lens; tripod and operator take {BEHIND_LENS_M:.1f} m, "
                f"{place.short_m:.2f} m more"
            )
        helps = []
        if left > 0 and place.tripod_fits and place.beside is not None:
            helps.append(f"the operator beside the camera, on its {place.beside}")
        if moves and place.short_m < background_m - 0.5:
            helps.append(f"the subject {place.short_m:.2f} m further back")
        return told + (f"; would do with {' or '.join(helps)}" if helps else "")
    if place.reason == "sight":
        return "a wall stands between camera and subject there"
    if place.reason == "narrow":
        return "the floor there is too narrow for tripod and operator (1.0 m across)"
    if place.reason == "furniture":
        return f"{blocks[0] if len(blocks) == 1 else 'furniture'} would stand on the floor of tripod or operator"
    if place.reason == "hidden":
        return (
            f"{blocks[0] if len(blocks) == 1 else 'furniture'} would hide the subject from the lens"
        )
    if place.reason == "exit":
        return f"the tripod would block the way out at {joined(sorted(set(exits))) if exits else 'a door'}"
    return None


def available_light(daylight: DaylightAnswer | None, needed_lux: float | None) -> str:
    """The sentence that is offered before any lamp is."""
    if daylight is None:
        return "Available light first: unknown, because the daylight in this room has not been worked out."
    mark = daylight.marks.get("subject")
    if mark is None or (mark.overcast_lux_noon is None and mark.clear_lux_noon is None):
        because = (
            (mark.unknown if mark is not None else None)
            or daylight.unknown
            or "because the daylight at the subject is not known"
        )
        return f"Available light first: unknown, {because}."
    lit = judged_light(daylight)
    assert lit is not None  # there is a subject
    skies = [
        (lux, sky)
        for lux, sky in (
            (lit.overcast_lux_noon, "under an overcast sky"),
            (lit.clear_lux_noon, "under a clear one"),
        )
        if lux is not None
    ]
    told = f"Available light first: at noon daylight brings the subject {joined([f'{lux:.0f} lx {sky}' for lux, sky in skies])} {lit.where}"
    needed = daylight.needed_lux if daylight.needed_lux is not None else needed_lux
    if needed is None:
        return f"{told}; whether that is enough is unknown, because the camera's f-number, shutter and ISO are not all recorded."
    least, most = min(lux for lux, _ in skies), max(lux for lux, _ in skies)
    when = ""
    if lit.enough_from is not None and lit.enough_until is not None:
        when = f", enough from {lit.enough_from:%H:%M} to {lit.enough_until:%H:%M}"
    if least >= needed:
        return f"{told}, against {needed:.0f} lx needed{when}: try it without lamps, shaping it with flags and boards."
    if most >= needed:
        return f"{told}, against {needed:.0f} lx needed{when}: a clear sky alone may do; bring lamps for cloud."
    return f"{told}, against {needed:.0f} lx needed: not enough by itself, so lamps or more ISO."
