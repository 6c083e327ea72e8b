"""What stands beside the three lights: a board for the fill, the key bounced, lights beyond them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from scout.assess.answers import PlanLight
from scout.assess.fit.reasons import both, clear_from, metres, no_place
from scout.assess.stage.floor import Ground
from scout.assess.stage.kit import between_deg
from scout.calc.fit.plan.bounced import LEAST_THROW_M, BouncePlan, ceiling_bounce, wall_bounce
from scout.calc.fit.plan.planned import PlanLamp, ThreePoint, lux_at
from scout.calc.fit.plan.search import Goal, NoSpot, Spot, find_spot
from scout.calc.fit.shadow.landing import shadow_landing
from scout.calc.fit.stand.lights import Lamp, Stage
from scout.calc.light.reflector import matt_board_lux
from scout.records.sheet import Light
from scout.values import Figure, Word, said

BOARD_M, BOARD_REFLECTANCE = 1.0, 0.85  # matt white board (common practice)
# a white board of 1.0 m on a stand, when a reflector must do for the fill
BOARD = Lamp(0.5, 2.5, 1.0, 1.0)


def board_fill(stage: Stage, floor: Ground, found: ThreePoint, key: PlanLamp) -> PlanLight:
    """No second light: a white board on the fill's side, turned half way between key and face, with
    the light it sends back.
    """
    side = found.side
    goal = Goal(
        60.0,
        45.0,
        None,
        height_m=stage.subject_m[2],
        height_most_off_m=0.5,
        distance_m=1.1,
        nearer_per_stop_deg=8.0,
        further_per_stop_deg=20.0,
    )
    spot = find_spot(stage, BOARD, goal, (-side,))
    towards = stage.on_bearing(-side * 60.0)
    name = None
    if floor.walled:
        hits = shadow_landing(
            stage.space,
            stage.subject_m,
            np.asarray(stage.subject_m) + np.array([*(towards * 0.01), 0.0]),
        )
        name = hits.surface
    surface = Word("surface", name) if name else None
    board = said("fit.board", size=metres(BOARD_M), surface=surface)
    if isinstance(spot, NoSpot):
        return PlanLight(
            fits=False,
            why=both(board, said("fit.board_by_hand")),
            unknown=said("fit.meter_board"),
            surface=name,
        )
    row = PlanLight(
        at_m=spot.at_m,
        aim_m=stage.subject_m,
        fits=spot.near if stage.views else None,
        works=spot.near,
        clear_from_mm=spot.clear_from_mm,
        why=board,
        surface=name,
        across_deg=spot.across_deg,
        down_deg=spot.down_deg,
        distance_m=spot.distance_m,
    )
    if not isinstance(found.key.spot, Spot) or key.intensity_cd is None or found.key.lux is None:
        return replace(row, unknown=said("fit.meter_board"))
    at, lamp, face = (
        np.asarray(spot.at_m),
        np.asarray(found.key.spot.at_m),
        np.asarray(stage.subject_m),
    )
    way_in, way_out = lamp - at, face - at
    normal = way_in / np.linalg.norm(way_in) + way_out / np.linalg.norm(way_out)
    if float(np.linalg.norm(normal)) < 1e-6:
        return replace(row, unknown=said("fit.board_opposite"))
    half = between_deg(way_in, way_out) / 2.0
    on_board = key.intensity_cd / float(way_in @ way_in)
    lux = float(
        matt_board_lux(on_board, BOARD_REFLECTANCE, BOARD_M**2, half, half, spot.distance_m)
    )
    reached = found.key.lux / lux if lux > 0 else None
    gives = said(
        "fit.board_lux",
        lux=Figure(lux, "lux"),
        ratio=None if reached is None else Figure(reached, "ratio"),
    )
    taken = Figure(BOARD_REFLECTANCE)
    return replace(
        row,
        lux=lux,
        why=both(board, gives),
        assumed=(said("fit.board_taken", reflectance=taken, size=metres(BOARD_M)),),
    )


def bounce_row(stage: Stage, floor: Ground, light: Light, lamp: PlanLamp, side: int) -> PlanLight:
    """The key turned onto the ceiling, else onto a wall."""
    found: BouncePlan | None = ceiling_bounce(stage, lamp.lamp, side)
    if (found is None or isinstance(found.spot, NoSpot)) and floor.walled:
        found = wall_bounce(stage, lamp.lamp, side) or found
    if found is None:
        if floor.walled or stage.space.ceiling_m is not None:
            return PlanLight(
                light=light.id,
                fits=False,
                why=said("fit.no_bounce", throw=metres(LEAST_THROW_M)),
            )
        return PlanLight(light=light.id, unknown=said("fit.bounce_open"))
    if isinstance(found.spot, NoSpot):
        return PlanLight(
            light=light.id,
            fits=False,
            why=no_place(found.spot, stage, lamp.lamp),
            surface=found.surface,
        )
    spot = found.spot
    why = clear_from(spot, stage) or (None if spot.near else said("fit.bounce_far"))
    return PlanLight(
        light=light.id,
        at_m=spot.at_m,
        aim_m=found.aim_m,
        fits=spot.near if stage.views else None,
        works=spot.near,
        clear_from_mm=spot.clear_from_mm,
        why=why,
        surface=found.surface,
        across_deg=spot.across_deg,
        distance_m=spot.distance_m,
    )


def other_row(stage: Stage, floor: Ground, light: Light, lamp: PlanLamp) -> tuple[Stage, PlanLight]:
    """A light beyond the three: where it is pinned, else behind the subject, lighting what stands
    there.
    """
    if light.at_m is not None:
        return stage, PlanLight(
            light=light.id,
            at_m=light.at_m,
            aim_m=light.aim_m or stage.subject_m,
            why=said("fit.pinned_beyond"),
        )
    behind = shadow_landing(
        stage.space, np.asarray(stage.camera_m), np.asarray(stage.subject_m), has_walls=floor.walled
    )
    aim = (
        behind.at_m
        if behind.at_m is not None and behind.surface not in (None, "floor", "ceiling")
        else stage.subject_m
    )
    spot = find_spot(stage, lamp.lamp, Goal(120.0, 60.0, 30.0, 30.0, distance_m=2.0), (1, -1))
    if isinstance(spot, NoSpot):
        return stage, PlanLight(light=light.id, fits=False, why=no_place(spot, stage, lamp.lamp))
    row = PlanLight(
        light=light.id,
        at_m=spot.at_m,
        aim_m=aim,
        fits=spot.near if stage.views else None,
        works=spot.near,
        clear_from_mm=spot.clear_from_mm,
        across_deg=spot.across_deg,
        down_deg=spot.down_deg,
        distance_m=spot.distance_m,
        why=both(said("fit.for_background"), clear_from(spot, stage)),
        lux=lux_at(spot, lamp) if aim == stage.subject_m else None,
    )
    return stage.with_stand(spot.at_m, lamp.lamp.radius_m), row
