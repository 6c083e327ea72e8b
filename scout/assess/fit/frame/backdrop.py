"""How bright the background stands in each lens's frame, against the face."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np

from scout.assess.answers import BackdropAnswer, DaylightAnswer, PlanLight, unmeasured
from scout.assess.daylight.room.reckoned import surface_level
from scout.assess.fit.day import OFF_SURFACE_M, overcast_lux
from scout.assess.stage.floor import Ground
from scout.assess.stage.kit import lights_by_id
from scout.calc.fit.lens.background import Behind, behind, lamp_lux
from scout.calc.fit.stand.lights import Stage
from scout.calc.geometry import FloatArray
from scout.records.sheet import Light, RoomSheet
from scout.values import Name, Said, said

GREY_CARD = 0.18
NOTE = said("fit.backdrop_taken")


def backdrop(
    sheet: RoomSheet,
    stage: Stage,
    floor: Ground,
    plan: dict[str, PlanLight],
    daylight: DaylightAnswer | None,
) -> tuple[BackdropAnswer, ...]:
    """A row a lens; none where nothing stands behind, no lens is known, or no light has a place."""
    lit = any(
        (row := plan.get(name)) is not None and row.light is not None and row.at_m is not None
        for name in ("key", "fill", "back")
    )
    if not floor.walled or not stage.views or not lit:
        return ()
    seen = [behind(stage.space, view) for view in stage.views]
    lights = lights_by_id(sheet)
    key = plan.get("key")
    face = None if key is None or key.lux is None else key.lux * 2.0 ** -(key.dim_stops or 0.0)
    levels = {
        name: surface_level(name, (sheet.room.surfaces or {}).get(name))
        for one in seen
        for name in one.surfaces
    }
    return tuple(
        _row(sheet, stage, view.focal_length_mm, one, plan, lights, face, levels, daylight)
        for view, one in zip(stage.views, seen, strict=True)
    )


def _row(
    sheet: RoomSheet,
    stage: Stage,
    focal_mm: float,
    seen: Behind,
    plan: dict[str, PlanLight],
    lights: dict[str, Light],
    face: float | None,
    levels: dict[str, float | None],
    daylight: DaylightAnswer | None,
) -> BackdropAnswer:
    counted = Counter(seen.surfaces).most_common(1)
    if not counted:
        return BackdropAnswer(
            focal_length_mm=focal_mm,
            surface="none",
            unknown=said("fit.open_behind"),
        )
    name = counted[0][0]
    chosen = np.array([surface == name for surface in seen.surfaces])
    part = Behind(
        seen.places_m[chosen],
        seen.normals[chosen],
        tuple(surface for surface in seen.surfaces if surface == name),
    )
    row = BackdropAnswer(focal_length_mm=focal_mm, surface=name, assumed=(NOTE,))
    lux, because = _lamps(stage, part, plan, lights)
    middle = part.places_m[
        int(np.argmin(np.linalg.norm(part.places_m - part.places_m.mean(axis=0), axis=1)))
    ]
    normal = part.normals[0]
    day = overcast_lux(sheet, daylight, (middle + OFF_SURFACE_M * normal)[None, :], normal[None, :])
    by_day = float(day[0]) if isinstance(day, np.ndarray) else None
    if lux is None or because is not None:
        return replace(row, daylight_lux=by_day, unknown=because or said("fit.no_light_placed"))
    mean = float(np.mean(lux))
    stops = float(np.log2(mean / face)) if face and mean > 0 else None
    level = levels.get(name)
    whole = mean + (by_day or 0.0)
    seen_stops = (
        float(np.log2(whole * level / (face * GREY_CARD))) if face and level and whole > 0 else None
    )
    return replace(
        row,
        lux=mean,
        daylight_lux=by_day,
        stops_from_face=stops,
        stops_seen=seen_stops,
        unknown=unmeasured(f"surfaces.{name}.light_reflectance") if level is None else None,
    )


def _lamps(
    stage: Stage, part: Behind, plan: dict[str, PlanLight], lights: dict[str, Light]
) -> tuple[FloatArray | None, Said | None]:
    total: FloatArray | None = None
    for name in ("key", "fill", "back"):
        row = plan.get(name)
        light = lights.get(row.light or "") if row is not None else None
        if row is None or light is None or row.at_m is None:
            continue
        if light.lux_at_1m is None or row.lux is None:
            return None, said("fit.light_lux", light=Name(light.id))
        dim = 2.0 ** -(row.dim_stops or 0.0)
        aim = row.aim_m if light.beam_deg is not None and row.aim_m != row.at_m else None
        here = lamp_lux(
            stage.space,
            part,
            row.at_m,
            light.lux_at_1m * dim,
            aim,
            light.beam_deg if aim is not None else None,
        )
        total = here if total is None else total + here
    return total, None
