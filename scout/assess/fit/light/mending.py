"""What mends a light's place and level: one that is dimmed lower than dimmers hold, one whose stand
is in the picture.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator

import numpy as np

from scout.assess.answers import (
    Act,
    Change,
    Finding,
    FitAnswer,
    PlanLight,
    act,
)
from scout.assess.fit.light.kinds import DimLow
from scout.assess.stage.views import scene_lens
from scout.calc.fit.floor.space import CEILING_CLEARANCE_M
from scout.calc.fit.lens.camera import in_frame
from scout.records.sheet import RoomSheet
from scout.values import Figure, Name, names

LEAST_DIM = 0.1  # of full: below it many dimmers step, flicker or go out (common practice)
HEAD_M = 0.3  # breadth of a head where none is recorded (common practice)
FRAME_MARGIN = 0.05  # as where stands are looked for
STEP_M = 0.05  # an arm is set no finer (common practice)
HIGHEST_M = 4.0  # of an arm on a stand where no ceiling ends it (common practice)


def dims(answer: FitAnswer) -> dict[str, float]:
    """How far each of key, fill and back is dimmed, as a share of full, by light: as the exposure
    that is started from takes it, else as the plan has it.
    """
    lit = {one.part: one for one in answer.exposure.lights} if answer.exposure is not None else {}
    found = {}
    for part in ("key", "fill", "back"):
        row, face = answer.plan.get(part), lit.get(part)
        if row is None or row.light is None or row.at_m is None:
            continue
        if face is not None and row.lux:
            found[row.light] = min(face.own_lux / row.lux, 1.0)
        elif row.dim_stops is not None:
            found[row.light] = min(2.0**-row.dim_stops, 1.0)
    return found


def too_low(share: float | None) -> bool:
    """Whether a dim is lower than most dimmers hold, to the percent that it is said to."""
    return share is not None and share > 0.0 and round(share, 2) < LEAST_DIM


def dimmed_low(answer: FitAnswer, left: Collection[str] = ()) -> Iterator[Finding]:
    """The lights whose dim is lower than most dimmers hold, with how much has to be taken away by
    other means. `left`: those that are left out anyway
    """
    low = {
        light: share
        for light, share in dims(answer).items()
        if too_low(share) and light not in left
    }
    if not low:
        return
    least = min(low.values())
    stops = math.ceil(2.0 * math.log2(LEAST_DIM / least) - 1e-9) / 2.0  # scrims go by halves
    gain = Change("dim", "%", 100.0 * least, 100.0 * least * 2.0**stops)
    yield DimLow(
        level="care",
        about=tuple(map(Name, low)),
        lights=names(low),
        least=Figure(100.0 * least, "%"),
        acts=(act("soften.light", lights=names(low), stops=Figure(stops, "stops"), buys=gain),),
    )


def out_of_frame(
    sheet: RoomSheet, part: str, row: PlanLight, judged_mm: tuple[float, ...]
) -> tuple[Act, ...]:
    """A light whose stand is seen, on an arm from a stand beside the frame: as high as its head is
    seen no more, worked out with the widest lens that counts. What cannot hang so high is left out,
    but for the key.
    """
    lens = scene_lens(sheet, judged_mm)
    kit_lights = (sheet.kit.lights or ()) if sheet.kit is not None else ()
    if lens is None or row.at_m is None or row.light is None:
        return ()
    light = next((one for one in kit_lights if one.id == row.light), None)
    radius = ((light.head_m if light is not None else None) or HEAD_M) / 2.0
    height = sheet.room.height_m
    top = HIGHEST_M if height is None else height - CEILING_CLEARANCE_M - radius
    for high in np.arange(row.at_m[2], top + 1e-9, STEP_M):
        head = (row.at_m[0], row.at_m[1], float(high))
        if not bool(in_frame(lens, head, radius, FRAME_MARGIN)):
            gain = Change("lights_in_frame", "", 1.0, 0.0)
            at = Figure(float(high), "m")
            return (act("arm.light", light=Name(row.light), height=at, buys=gain),)
    if part == "key":
        return ()
    gain = Change("lights_in_frame", "", 1.0, 0.0)
    return (act("leave.light", light=Name(row.light), buys=gain),)
