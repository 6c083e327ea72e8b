"""What can be done about the colour of a room, each worked out again with it done: cover, move,
take the fill away, gel, balance.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from scout.assess.answers import BounceAnswer, Placement, RemedyAnswer, Risk, SurroundAnswer
from scout.assess.bounce.bounce import Aimed, Sides, aimed, sides_of, subject_look
from scout.assess.bounce.lamp import Lamp, lamp_of
from scout.assess.bounce.room import LitRoom, lit_room, surface_words
from scout.assess.bounce.worst import best_of
from scout.calc.bounce.reach import View, face, lux_of, spot
from scout.calc.bounce.shift import (
    GREY_STEPS,
    RISKS,
    Shift,
    green_correction,
    green_filter,
    mired_gel,
    shifts,
)
from scout.calc.bounce.spectra import planck
from scout.calc.bounce.whiteness import MOST_WHITE_K
from scout.calc.geometry import FloatArray, inside, walls
from scout.records.sheet import Light, RoomSheet

WHITE, BLACK = 0.85, 0.04  # a clean white sheet or board; black cloth (common practice)
COVER_SHARES = (0.25, 0.5, 1.0)
STEPS_M = (0.5, 1.0, 1.5, 2.0)
CLEAR_M = 0.3  # nobody stands nearer to a wall
FLAG_M, FLAGS_AWAY_M = (
    (1.2, 2.4),
    (0.6, 0.45, 0.3),
    # a black board or cloth on a stand, and how far from the face, as there is room (common practice)
)
# white that leaves more of the difference than this is not worth hanging: the surface is white
# already
MENDS = 0.8
CAUTION = "gel, cloth and boards near a lamp get hot: use what is made for it and keep it off the lamp; weight every stand"


def remedies(
    sheet: RoomSheet,
    placements: Mapping[str, Placement],
    bounces: tuple[BounceAnswer, ...],
    surrounds: tuple[SurroundAnswer, ...],
) -> tuple[RemedyAnswer, ...]:
    """A row for each thing worth trying: for the best bounce of each light and for each side of the
    face at medium or high risk.
    """
    lit = lit_room(sheet)
    if isinstance(lit, str) or lit.missing:
        return ()
    found: list[RemedyAnswer] = []
    for light in sheet.kit.lights if sheet.kit and sheet.kit.lights else ():
        best = best_of([row for row in bounces if row.light == light.id])
        if best is not None and best.risk in {"medium", "high"}:
            found += _of_bounce(light, sheet, placements, lit, best)
        for row in surrounds:
            if (
                row.light == light.id
                and row.risk in {"medium", "high"}
                and row.worst_surface is not None
            ):
                found += _of_side(light, sheet, placements, lit, row)
    return tuple(found)


@dataclass(frozen=True)
class _Case:
    """A spectrum to mend: who it is for, and how it was before."""

    light: str
    target: str
    direct: FloatArray  # (71,) what the camera is balanced to
    before: FloatArray  # (71,) what arrives
    shift: Shift

    def after(
        self,
        action: str,
        spectrum: FloatArray,
        *,
        surface: str | None = None,
        amount: float | None = None,
        unit: str | None = None,
    ) -> RemedyAnswer:
        """The row for another spectrum in its place."""
        lux, was = (
            float(lux_of(spectrum, np.ones(len(spectrum)))),
            float(lux_of(self.before, np.ones(len(spectrum)))),
        )
        row = RemedyAnswer(
            light=self.light,
            target=self.target,
            action=action,
            surface=surface,
            amount=amount,
            unit=unit,
            delta_e_before=self.shift.delta_e,
            risk_before=self.shift.risk,
        )
        if lux <= 1e-9 * was:
            return replace(
                row,
                action=f"{action}: no light is left on this side",
                unknown="because no light is left whose colour could be judged",
            )
        (shift,) = shifts(self.direct, spectrum[None])
        return replace(
            row,
            delta_e_after=shift.delta_e,
            risk_after=shift.risk,
            stops_change=float(np.log2(lux / was)),
        )


def _case(light: str, target: str, direct: FloatArray, before: FloatArray) -> _Case:
    return _Case(light, target, direct, before, shifts(direct, before[None])[0])


# -- a bounce
# ---------------------------------------------------------------------------------------------------------
def _of_bounce(
    light: Light,
    sheet: RoomSheet,
    placements: Mapping[str, Placement],
    lit: LitRoom,
    row: BounceAnswer,
) -> Iterator[RemedyAnswer]:
    looks, lamp = subject_look(sheet, lit), lamp_of(light, placements, lit)
    if isinstance(looks, str) or isinstance(lamp, str) or row.aim_m is None:
        return
    laid = spot(lit.room, lamp.at_m, row.aim_m, lamp.unit_lux, lamp.beam_deg)
    direct = lamp.colour.spectrum
    case = _case(
        light.id,
        f"bounce off {surface_words(row.surface)}",
        direct,
        direct * face(lit.room, lit.reflectance[0], looks).arriving(laid),
    )
    yield from _gels(case, lamp)
    if case.shift.cct_k is not None:
        stays = case.shift.delta_e_skin_balanced
        yield RemedyAnswer(
            light=light.id,
            target=case.target,
            surface=row.surface,
            delta_e_before=case.shift.delta_e,
            delta_e_after=0.0,
            risk_before=case.shift.risk,
            risk_after=_skin_risk(stays),
            stops_change=0.0,
            action=f"balance the camera to the bounce, where it is the only light: grey comes right, light skin stays {stays:.1f} off",
        )
    seen = laid.mean_lux * lit.room.patches.area_m2
    yield from _covers(
        case,
        lit,
        row.surface,
        seen,
        lambda there: direct * face(lit.room, there, looks).arriving(laid),
    )


def _skin_risk(delta_e: float) -> Risk:
    return RISKS[sum(delta_e > step for step in GREY_STEPS)]


def _gels(case: _Case, lamp: Lamp) -> Iterator[RemedyAnswer]:
    """Trade amounts on the lamp, chosen for what is left after the green, the whole worked out
    again.
    """
    if case.shift.mired_shift is None or case.shift.cct_k is None:
        return
    spectrum, words = case.before, []
    green = green_correction(case.direct, case.before, case.shift)
    left = case.shift.mired_shift
    if green is not None:
        density = {"eighth": 3.5, "quarter": 7.5, "half": 15.0, "full": 30.0}[green.amount]
        spectrum = spectrum * green_filter(density, plus=green.kind == "plus green")
        words.append(f"{green.amount} {green.kind}")
        left = green.mired_shift if green.mired_shift is not None else left
    mired, found = 0.0, mired_gel(left)
    if found is not None:
        key_mired = 1e6 / lamp.colour.cct_k
        if key_mired + found[1] > 1e6 / MOST_WHITE_K:
            mired = found[1]
            gel = planck(1e6 / (key_mired + mired)) / planck(1e6 / key_mired)
            spectrum = spectrum * gel / np.max(gel)  # a gel only takes away
            words.append(found[0])
    if words:
        yield case.after(
            f"put {' and '.join(words)} on {lamp.id}", spectrum, amount=mired, unit="mired"
        )


# -- a side of the face
# -----------------------------------------------------------------------------------------------
def _of_side(
    light: Light,
    sheet: RoomSheet,
    placements: Mapping[str, Placement],
    lit: LitRoom,
    row: SurroundAnswer,
) -> Iterator[RemedyAnswer]:
    found = aimed(light, sheet, placements, lit)
    surface = row.worst_surface
    if isinstance(found, str) or surface is None:
        return
    side = 0 if row.side == "key" else 1
    direct = found.lamp.colour.spectrum
    straight = found.direct if side == 0 else 0.0

    def spectrum(aimed_so: Aimed, sides: Sides) -> FloatArray:
        return np.asarray(
            direct
            * ((sides.key if side == 0 else sides.shadow) + (aimed_so.direct if side == 0 else 0.0))
        )

    now = sides_of(found, lit, lit.reflectance[0])
    case = _case(light.id, "lit side" if side == 0 else "shadow side", direct, spectrum(found, now))
    looks = found.looks[side]
    weight = looks.seen * now.landing.mean(axis=1)
    yield from _covers(
        case, lit, surface, weight, lambda there: spectrum(found, sides_of(found, lit, there))
    )
    yield from _moves(case, light, sheet, placements, lit, surface, spectrum)
    if side == 1:
        blocked = _flagged(lit, looks, found)
        if blocked is None:
            return
        view_left, away_m = blocked
        arriving = view_left.arriving(lit.reflectance[0], found.laid, now.landing)
        words = f"stand a black {FLAG_M[0]:g} by {FLAG_M[1]:g} m flag {away_m:g} m from the face on its shadow side"
        taken = case.after(
            words, direct * (arriving + straight), amount=FLAG_M[0] * FLAG_M[1], unit="m2"
        )
        if (
            taken.stops_change is not None
            and taken.delta_e_after is not None
            and taken.delta_e_after > MENDS * case.shift.delta_e
        ):
            taken = replace(
                taken,
                action=f"{words}: the fill loses {-taken.stops_change:.1f} stops and with them its weight, not its colour",
            )
        yield taken


def _moves(
    case: _Case,
    light: Light,
    sheet: RoomSheet,
    placements: Mapping[str, Placement],
    lit: LitRoom,
    surface: str,
    spectrum: Callable[[Aimed, Sides], FloatArray],
) -> Iterator[RemedyAnswer]:
    """Subject and light moved together, away from a wall, until the risk has fallen a class; the
    shortest such move, or the best one.
    """
    wall = next((wall for wall in walls(lit.room.patches.plan_m) if wall.letter == surface), None)
    if wall is None:
        return
    best: RemedyAnswer | None = None
    for step in STEPS_M:
        by = (-float(wall.outward[0]) * step, -float(wall.outward[1]) * step)
        there = aimed(light, sheet, placements, lit, by)
        if isinstance(there, str) or not _stands(lit, there):
            break
        row = case.after(
            f"move the subject, with the light, {step:g} m away from {surface_words(surface)}",
            spectrum(there, sides_of(there, lit, lit.reflectance[0])),
            surface=surface,
            amount=step,
            unit="m",
        )
        if row.delta_e_after is None:
            continue
        if best is None or row.delta_e_after < (best.delta_e_after or 0.0):
            best = row
        if RISKS.index(row.risk_after or "high") < RISKS.index(case.shift.risk):
            break
    if best is not None:
        yield best


def _stands(lit: LitRoom, there: Aimed) -> bool:
    """Whether subject and light both stand clear of the walls."""
    plan = lit.room.patches.plan_m
    for at in (there.subject, there.lamp.at_m):
        here = np.array(at[:2])
        if (
            not bool(inside(plan, here))
            or min(_away(wall.start_m, wall.end_m, here) for wall in walls(plan)) < CLEAR_M
        ):
            return False
    return True


def _away(start: FloatArray, end: FloatArray, at: FloatArray) -> float:
    way = end - start
    share = float(np.clip((at - start) @ way / (way @ way), 0.0, 1.0))
    return float(np.linalg.norm(at - start - share * way))


def _flagged(lit: LitRoom, looks: View, found: Aimed) -> tuple[View, float] | None:
    """The view with what a flag square to the shadow side hides taken away, and how far off the
    flag stands; None where none can stand.

    The little that the black gives back is left out.
    """
    away = -found.toward * np.array([1.0, 1.0, 0.0])
    if (length := float(np.linalg.norm(away))) < 1e-6:
        return None
    away = away / length
    subject = np.array(found.subject)
    away_m = next(
        (
            far
            for far in FLAGS_AWAY_M
            if bool(inside(lit.room.patches.plan_m, (subject + 1.1 * far * away)[:2]))
        ),
        None,
    )
    if away_m is None:
        return None
    across = np.array([-away[1], away[0], 0.0])
    points = lit.room.patches.points(4)[0] - np.array(found.subject)
    depth = points @ away
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(depth > away_m, away_m / depth, np.nan)
    sideways, up = points @ across * share, points[..., 2] * share
    hidden = (
        (np.abs(sideways) <= FLAG_M[0] / 2)
        & (up >= -found.subject[2])
        & (up <= FLAG_M[1] - found.subject[2])
    )
    weight = lit.room.patches.points(4)[1]
    within = (looks.detail + looks.seen[:, None] * weight) * ~hidden
    seen = within.sum(axis=1)
    return View(seen, within - seen[:, None] * weight), away_m


# -- white over a surface
# ---------------------------------------------------------------------------------------------
def _covers(
    case: _Case,
    lit: LitRoom,
    surface: str,
    weight: FloatArray,
    spectrum: Callable[[FloatArray], FloatArray],
) -> Iterator[RemedyAnswer]:
    """White over the part of a surface that matters most: the least that brings the risk down to
    low, or the whole of it.
    """
    patches = lit.room.patches
    mine = np.nonzero(patches.of(surface))[0]
    order = mine[np.argsort(-weight[mine])]
    size = np.cumsum(patches.area_m2[order])
    for share in COVER_SHARES:
        count = int(np.searchsorted(size, share * size[-1] - 1e-9)) + 1
        there = lit.reflectance[0].copy()
        there[order[:count]] = WHITE
        area_m2 = float(size[min(count, len(size)) - 1])
        what = (
            f"the whole of {surface_words(surface)}"
            if share == 1.0
            else f"{area_m2:.1f} m² of {surface_words(surface)}, where it matters most,"
        )
        words = f"cover {what} with white" + (f" ({area_m2:.1f} m²)" if share == 1.0 else "")
        row = case.after(words, spectrum(there), surface=surface, amount=area_m2, unit="m2")
        if share < 1.0 and row.risk_after not in {"none", "low"}:
            continue
        if row.delta_e_after is None or row.delta_e_after <= MENDS * case.shift.delta_e:
            yield row
        return
