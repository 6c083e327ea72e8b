"""What of which wall, and which windows, each lens sees from the camera's mark."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scout.assess.answers import ViewAnswer, WallView
from scout.assess.stage.floor import Ground, ground, stage_of
from scout.calc.fit.floor.space import clear_depth_m
from scout.calc.fit.lens.backdrop import rectangle_in_frame, walls_in_frame
from scout.calc.fit.lens.camera import View, field_of_view_deg, in_frame
from scout.calc.fit.lens.through import view_sees
from scout.calc.fit.stand.lights import Stage
from scout.calc.geometry import inside, walls
from scout.calc.radiosity import Patches
from scout.records.sheet import RoomSheet

POINTS = 4  # points a side on each patch: what stands between two of them is under 0.2 m wide
OFF_SURFACE_M = 1e-3  # a point on a wall is looked at from in front of it
UNWALLED_M = 30.0  # how far the edges of a lens are drawn that no wall of the plan ends


Ends = tuple[tuple[float, float], tuple[float, float]]


def field_ends_m(stage: Stage, view: View) -> Ends:
    """Where the left and the right edge of a lens's field, in plan, meet the walls; so far off as
    no sheet shows where the camera stands outside them.
    """
    camera, plan = np.asarray(stage.camera_m)[:2], stage.space.plan_m
    ahead = -stage.towards_camera
    right = np.array([ahead[1], -ahead[0]])
    within = bool(inside(plan, camera, edge_m=OFF_SURFACE_M))
    ends = []
    for sign in (-1.0, 1.0):
        way = ahead + sign * view.tangents[0] * right
        way = way / np.linalg.norm(way)
        x, y = camera + way * (clear_depth_m(plan, camera, way) if within else UNWALLED_M)
        ends.append((float(x), float(y)))
    return ends[0], ends[1]


def fit_views(sheet: RoomSheet, stage: Stage, floor: Ground) -> tuple[ViewAnswer, ...]:
    """What of which wall each lens sees from the camera's mark."""
    if not floor.walled or stage.space.ceiling_m is None:
        return ()
    return tuple(_view(sheet, stage, view, stage.space.ceiling_m) for view in stage.views)


def scene_lens(sheet: RoomSheet, judged_mm: tuple[float, ...]) -> View | None:
    """The widest of the scene's lenses on the camera's mark, aimed at the subject; None where the
    kit or the marks do not tell.
    """
    stage = stage_of(sheet, ground(sheet.room))
    if not isinstance(stage, Stage) or not stage.views or not judged_mm:
        return None
    return replace(stage.views[0], focal_length_mm=min(judged_mm))


def patches_in_frame(lens: View, patches: Patches) -> NDArray[np.bool_]:
    """(p,) of which patches something may be in frame; furniture and people hide nothing here."""
    points, _ = patches.points(POINTS)
    points = points + OFF_SURFACE_M * patches.normal[:, None]
    seen = in_frame(lens, points)
    seen &= view_sees(lens, patches.plan_m, points[..., :2])
    return np.asarray(seen.any(axis=1))


def _view(sheet: RoomSheet, stage: Stage, view: View, height_m: float) -> ViewAnswer:
    seen = walls_in_frame(view, stage.space.plan_m, height_m)
    spans = {part.wall: part for part in seen}
    by_letter = {wall.letter: wall for wall in walls(stage.space.plan_m)}
    windows = []
    for window in sheet.room.windows or ():
        part, wall = spans.get(window.wall), by_letter.get(window.wall)
        if (
            part is None
            or wall is None
            or window.offset_m is None
            or window.width_m is None
            or window.sill_m is None
            or window.height_m is None
        ):
            continue
        left, right = (
            max(window.offset_m, part.from_offset_m),
            min(window.offset_m + window.width_m, part.to_offset_m),
        )
        if right - left > 1e-6 and rectangle_in_frame(
            view, wall, left, right, window.sill_m, window.sill_m + window.height_m
        ):
            windows.append(window.id)
    return ViewAnswer(
        view.focal_length_mm,
        float(field_of_view_deg(view.sensor_width_mm, view.focal_length_mm)),
        tuple(
            WallView(
                p.wall,
                p.from_offset_m,
                p.to_offset_m,
                p.from_height_m,
                p.to_height_m,
                p.frame_share,
            )
            for p in seen
        ),
        tuple(windows),
    )


def judged_by(stage: Stage, judged_mm: tuple[float, ...]) -> Stage:
    """The stage as lights meet it: without the lenses that are wider than any that counts."""
    widest = min(judged_mm, default=0.0)
    return replace(
        stage, views=tuple(view for view in stage.views if view.focal_length_mm >= widest)
    )
