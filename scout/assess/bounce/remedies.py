"""What can be done about the colour of a room, each worked out again with it done: cover, move,
take the fill away, gel, balance. What does not help is not offered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from scout.assess.answers import (
    Act,
    BounceAnswer,
    Placement,
    RemedyAnswer,
    Risk,
    SurroundAnswer,
    WindowLightAnswer,
    act,
)
from scout.assess.answers.finding import MOST_ACTS
from scout.assess.bounce.case import TO_MEND, Case, Cloths, Target
from scout.assess.bounce.covers import hung, with_white
from scout.assess.bounce.lamp import Lamp, lamp_of
from scout.assess.bounce.room import LitRoom, lit_room, of_surface
from scout.assess.bounce.start import lights_of, subject_look
from scout.assess.bounce.surround import Aimed, Sides, aimed, sides_of
from scout.assess.bounce.window_remedies import WINDOWS, window_cases
from scout.assess.bounce.worst import best_of
from scout.assess.stage.follows import camera_follows
from scout.assess.stage.views import patches_in_frame
from scout.calc.bounce.reach import (
    CLOSED,
    Spot,
    View,
    faces_of_each,
    landings,
    landings_of_each,
    spot,
)
from scout.calc.bounce.shift import GREY_STEPS, RISKS, nearest_gels, shifts
from scout.calc.fit.floor.space import PATH_HALF_WIDTH_M, distance_to_line_m
from scout.calc.fit.lens.camera import View as Lens
from scout.calc.geometry import FloatArray, inside, walls
from scout.calc.radiosity import Patches
from scout.records.sheet import Light, RoomSheet
from scout.values import Figure, Many, Name, Said, Word, names, said, words

STEPS_M = (0.5, 1.0, 1.5, 2.0)
SOCKET_M = 0.1  # round a socket: its plate, and a plug in it (common practice)
FLOOR_POINTS = 4  # points a side on each patch of the floor
CLEAR_M = 0.3  # nobody stands nearer to a wall
FLAG_M, FLAGS_AWAY_M = (
    (1.2, 2.4),
    (0.6, 0.45, 0.3),
    # a black board or cloth on a stand, and how far from the face, as there is room (common practice)
)


def remedies(
    sheet: RoomSheet,
    placements: Mapping[str, Placement],
    bounces: tuple[BounceAnswer, ...],
    surrounds: tuple[SurroundAnswer, ...],
    *,
    daylit: tuple[WindowLightAnswer, ...] = (),
    on: date | None = None,
    lens: Lens | None = None,
) -> tuple[RemedyAnswer, ...]:
    """The acts that help, at most three for the best bounce of each light and for each side of the
    face at medium or high risk, most effect first.

    daylit, on: daylight on the face and its date; lens: the scene's, in whose frame nothing hangs;
        nor does anything over a socket or where somebody walks
    """
    lit = lit_room(sheet)
    if isinstance(lit, Said) or lit.missing:
        return ()
    looks = subject_look(sheet, lit)

    bounced = _bounced(sheet, placements, lit, bounces) if isinstance(looks, View) else {}

    @lru_cache(maxsize=1)  # what all the lamps ask for, one after the other
    def arriving_in(rooms: tuple[Cloths, ...], closed: float) -> list[dict[str, FloatArray]]:
        assert isinstance(looks, View)
        mean_lux = np.stack([laid.mean_lux for _, _, laid in bounced.values()])
        unevenly = np.stack([looks.unevenly(laid) for _, _, laid in bounced.values()])
        white = (with_white(lit.room.patches, lit.reflectance[0], cloths) for cloths in rooms)
        faces = faces_of_each(lit.room, white, [looks], closed)
        return [
            dict(zip(bounced, there.arriving_of(mean_lux, unevenly), strict=True))
            for (there,) in faces
        ]

    # first, while what the windows' own rows were worked out from is held
    of_windows = list(window_cases(sheet, on, daylit, lit)) if on is not None else []
    cases: list[Case] = []
    for light in lights_of(sheet):
        if light.id in bounced:
            cases.append(_of_bounce(*bounced[light.id], lit, arriving_in))
        sides = [
            row
            for row in surrounds
            if row.light == light.id and row.risk in TO_MEND and row.worst_surface is not None
        ]
        there = aimed(light, sheet, placements, lit) if sides else None
        if isinstance(there, Aimed):
            lamp = _Lamp(light, sheet, placements, lit, there)
            cases += [_of_side(lamp, row) for row in sides]
    cases += of_windows
    patches = lit.room.patches
    kept_off = _used(sheet, patches)
    if lens is not None:
        kept_off |= patches_in_frame(lens, patches)
    covered = list(hung(cases, patches, kept_off))
    rows: list[RemedyAnswer] = []
    for case in cases:
        tried = [*case.own, *(row for of, row in covered if of is case)]
        good = [row for row in tried if row is not None and case.helped_by(row)]
        rows += sorted(good, key=lambda row: row.delta_e_after - row.delta_e_before)[:MOST_ACTS]
    return _with_lights(rows)


def _used(sheet: RoomSheet, patches: Patches) -> NDArray[np.bool_]:
    """(p,) patches that hold a socket, or that the subject walks over."""
    used = np.zeros(len(patches.area_m2), dtype=np.bool_)
    by_letter = {wall.letter: wall for wall in walls(patches.plan_m)}
    low = patches.corners_m.min(axis=1) - SOCKET_M
    high = patches.corners_m.max(axis=1) + SOCKET_M
    for outlet in sheet.room.outlets or ():
        wall = by_letter.get(outlet.wall or "")
        if wall is None or outlet.offset_m is None:
            continue
        at = wall.point(outlet.offset_m, outlet.height_m or 0.0)
        held = (low <= at) & (high >= at)
        if outlet.height_m is None:
            held[:, 2] = True  # somewhere over that place
        used |= patches.of(wall.letter) & np.all(held, axis=1)
    path = sheet.marks.path if sheet.marks is not None else None
    if path is not None and len(path) > 1:
        points, _ = patches.points(FLOOR_POINTS)
        near = distance_to_line_m(np.array(path), points[..., :2]) < PATH_HALF_WIDTH_M
        used |= patches.of("floor") & np.any(near, axis=1)
    return used


def acts_for(
    rows: Iterable[RemedyAnswer], lights: Iterable[str], *targets: Target
) -> tuple[Act, ...]:
    """The acts of one finding about several lights: the same act once, with what it buys the light
    that it leaves worst; most effect first, at most three.
    """
    wanted = set(lights)
    worst: dict[Act, RemedyAnswer] = {}
    for row in rows:
        if row.light in wanted and row.target in targets:
            bare = row.action.deed
            if bare not in worst or row.delta_e_after > worst[bare].delta_e_after:
                worst[bare] = row
    ranked = sorted(worst.values(), key=lambda row: row.delta_e_after - row.delta_e_before)
    return tuple(row.action for row in ranked[:MOST_ACTS])


def off(surface: str) -> Said:
    """What a bounce off a surface is called."""
    return said("bounce.off", surface=of_surface(surface))


def _with_lights(rows: list[RemedyAnswer]) -> tuple[RemedyAnswer, ...]:
    """The rows with every light that the same act serves named in it, daylight by its own name."""

    def deed(row: RemedyAnswer) -> Act:
        others = tuple(pair for pair in row.action.values if pair[0] != "lights")
        return replace(row.action, values=others, buys=None)

    serves: dict[Act, dict[str, None]] = {}
    for row in rows:
        serves.setdefault(deed(row), {})[row.light] = None
    named = []
    for row in rows:
        lights = Many(
            tuple(
                said("bounce.of_daylight") if light == WINDOWS else Name(light)
                for light in serves[deed(row)]
            )
        )
        values = tuple((key, lights if key == "lights" else one) for key, one in row.action.values)
        named.append(replace(row, action=replace(row.action, values=values)))
    return tuple(named)


def _class_of(delta_e: float) -> Risk:
    return RISKS[sum(delta_e > step for step in GREY_STEPS)]


def _bounced(
    sheet: RoomSheet,
    placements: Mapping[str, Placement],
    lit: LitRoom,
    bounces: tuple[BounceAnswer, ...],
) -> dict[str, tuple[BounceAnswer, Lamp, Spot]]:
    """By light, its best bounce where that is to be mended, the lamp and its spot."""
    found = {}
    for light in lights_of(sheet):
        best = best_of([row for row in bounces if row.light == light.id])
        lamp = lamp_of(light, placements, lit)
        if best is None or best.risk not in TO_MEND or best.aim_m is None:
            continue
        if isinstance(lamp, Lamp):
            laid = spot(lit.room, lamp.at_m, best.aim_m, lamp.unit_lux, lamp.beam_deg)
            found[light.id] = best, lamp, laid
    return found


def _of_bounce(
    row: BounceAnswer,
    lamp: Lamp,
    laid: Spot,
    lit: LitRoom,
    arriving_in: Callable[[tuple[Cloths, ...], float], list[dict[str, FloatArray]]],
) -> Case:
    direct = lamp.colour.spectrum

    def again(rooms: Sequence[Cloths], closed: float) -> list[tuple[FloatArray, FloatArray]]:
        return [(direct, direct * each[lamp.id]) for each in arriving_in(tuple(rooms), closed)]

    ((_, before),) = again([()], CLOSED)
    case = Case(
        lamp.id,
        off(row.surface),
        row,
        direct,
        before,
        shifts(direct, before[None])[0],
        row.surface,
        laid.mean_lux * lit.room.patches.area_m2,
        again,
    )
    return replace(case, own=(_gelled(case), _balanced(case)))


def _balanced(case: Case) -> RemedyAnswer | None:
    """The camera balanced to the bounce: grey comes right, what stays is on skin."""
    if case.shift.cct_k is None:
        return None
    casts = case.shift.delta_e_skin, case.shift.delta_e_skin_balanced
    deed = act("camera.balance", surface=of_surface(case.covered or ""))
    return case.bought(deed, "delta_e_skin", casts, (_class_of(casts[0]), _class_of(casts[1])), 0.0)


def _gelled(case: Case) -> RemedyAnswer | None:
    """Trade gels on the lamp, the whole worked out again at both ends of what makers sell under
    the grade: the worse of the two counts.
    """
    gels = nearest_gels(case.direct, case.before, case.shift)
    if gels is None:
        return None
    deed = act("gel.light", gels=words("gel", gels.names), lights=names([case.light]))
    ends = [case.after(deed, spectrum) for spectrum in gels.through(case.before)]
    return max(
        (row for row in ends if row is not None), key=lambda row: row.delta_e_after, default=None
    )


# -- a side of the face


@dataclass(frozen=True, eq=False)
class _Lamp:
    """A light on its subject, and the room with something done; both sides of the face ask for the
    same.
    """

    light: Light
    sheet: RoomSheet
    placements: Mapping[str, Placement]
    lit: LitRoom
    there: Aimed

    @cached_property
    def now(self) -> Sides:
        """Both sides as they are."""
        return sides_of(self.there, self.lit, self.lit.reflectance[0])

    @cached_property
    def with_cloths(self) -> Callable[[tuple[Cloths, ...], float], list[FloatArray]]:
        """(2, 71) shares on both sides with each set of cloths hung."""

        @lru_cache(maxsize=1)
        def found(rooms: tuple[Cloths, ...], closed: float) -> list[FloatArray]:
            lit, there = self.lit, self.there
            white = (with_white(lit.room.patches, lit.reflectance[0], one) for one in rooms)
            landed = landings_of_each(lit.room, white, [there.laid.mean_lux], closed)
            return [there.shares(each, landing) for each, (landing,) in landed]

        return found

    @cached_property
    def moved(self) -> Callable[[tuple[float, float]], tuple[Aimed, FloatArray] | None]:
        """Subject and light moved together, [m], with (2, 71) shares on both sides; None where they
        cannot stand or be worked with, or the camera has no place to go with them.
        """

        follows = camera_follows(self.sheet)

        @lru_cache(maxsize=len(STEPS_M))
        def found(by_m: tuple[float, float]) -> tuple[Aimed, FloatArray] | None:
            if not follows(by_m):
                return None
            there = aimed(self.light, self.sheet, self.placements, self.lit, by_m)
            if not isinstance(there, Aimed) or not _stands(self.lit, there):
                return None
            own = self.lit.reflectance[0]
            (landing,) = landings(self.lit.room, own, [there.laid.mean_lux])
            return there, there.shares(own, landing)

        return found

    def arriving(self, side: int, there: Aimed, shares: FloatArray) -> FloatArray:
        """(71,) on one side, what comes straight to the lit one with it."""
        share = shares[side] + there.direct if side == 0 else shares[side]
        return np.asarray(there.lamp.colour.spectrum * share)


def _of_side(lamp: _Lamp, row: SurroundAnswer) -> Case:
    there, now = lamp.there, lamp.now
    side = 0 if row.side == "key" else 1
    direct = there.lamp.colour.spectrum

    def again(rooms: Sequence[Cloths], closed: float) -> list[tuple[FloatArray, FloatArray]]:
        shares = lamp.with_cloths(tuple(rooms), closed)
        return [(direct, lamp.arriving(side, there, both)) for both in shares]

    before = lamp.arriving(side, there, np.stack([now.key, now.shadow]))
    case = Case(
        lamp.light.id,
        Word("side", row.side),
        row,
        direct,
        before,
        shifts(direct, before[None])[0],
        row.worst_surface,
        there.looks[side].seen * now.landing.mean(axis=1),
        again,
    )
    flagged = _flagged(case, lamp.lit, there, now) if side == 1 else None
    return replace(case, own=(_moved(case, lamp, side), flagged))


def _moved(case: Case, lamp: _Lamp, side: int) -> RemedyAnswer | None:
    """Subject and light moved together, away from a wall, until the risk has fallen a class; the
    shortest such move, or the best one. Nobody moves off a floor.
    """
    wall = next(
        (wall for wall in walls(lamp.lit.room.patches.plan_m) if wall.letter == case.covered), None
    )
    if wall is None:
        return None
    best: RemedyAnswer | None = None
    for step in STEPS_M:
        found = lamp.moved((-float(wall.outward[0]) * step, -float(wall.outward[1]) * step))
        if found is None:
            break
        there, shares = found
        deed = act("move.subject", away=Figure(step, "m"), surface=of_surface(wall.letter))
        row = case.after(deed, lamp.arriving(side, there, shares))
        if row is None:
            continue
        if best is None or row.delta_e_after < best.delta_e_after:
            best = row
        if RISKS.index(row.risk_after) < RISKS.index(case.shift.risk):
            break
    return best


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


def _flagged(case: Case, lit: LitRoom, there: Aimed, now: Sides) -> RemedyAnswer | None:
    """A black flag on the shadow side, which takes the fill from where it stands; None where none
    can stand.
    """
    blocked = _behind_flag(lit, there.looks[1], there)
    if blocked is None:
        return None
    left, away_m = blocked
    arriving = left.arriving(lit.reflectance[0], there.laid, now.landing)
    return case.after(
        act("flag.black", away=Figure(away_m, "m"), lights=names([case.light])),
        case.direct * arriving,
    )


def _behind_flag(lit: LitRoom, looks: View, there: Aimed) -> tuple[View, float] | None:
    """The view with what a flag square to the shadow side hides taken away, and how far off the
    flag stands; None where none can stand.

    The little that the black gives back is left out.
    """
    away = -there.toward * np.array([1.0, 1.0, 0.0])
    if (length := float(np.linalg.norm(away))) < 1e-6:
        return None
    away = away / length
    subject = np.array(there.subject)
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
    points, weight = lit.room.patches.points(4)
    points = points - subject
    depth = points @ away
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(depth > away_m, away_m / depth, np.nan)
    sideways, up = points @ across * share, points[..., 2] * share
    hidden = (
        (np.abs(sideways) <= FLAG_M[0] / 2) & (up >= -subject[2]) & (up <= FLAG_M[1] - subject[2])
    )
    within = (looks.detail + looks.seen[:, None] * weight) * ~hidden
    seen = within.sum(axis=1)
    return View(seen, within - seen[:, None] * weight), away_m
