"""What the room adds to a light that is aimed at the subject, on the lit side and on the side turned
away.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from scout.assess.answers import Placement, Point, SurroundAnswer
from scout.assess.bounce.lamp import Lamp, lamp_of
from scout.assess.bounce.room import OUTDOORS, LitRoom, lit_room
from scout.assess.bounce.start import (
    LEAST_CULPRIT,
    NEAREST_SUBJECT_M,
    NO_SUBJECT,
    ROUGHLY,
    in_the_open,
    lights_of,
    loss_stops,
    with_shift,
)
from scout.calc.bounce.reach import (
    CLOSED,
    Face,
    Spot,
    View,
    all_landing,
    faces,
    landings,
    lux_of,
    spot,
    views,
)
from scout.calc.bounce.shift import RISKS, Shift, shifts
from scout.calc.bounce.spectra import reflected_share
from scout.calc.geometry import FloatArray
from scout.calc.radiosity import direct_at
from scout.records.sheet import Light, RoomSheet
from scout.values import Name, Said, said


def surround(sheet: RoomSheet, placements: Mapping[str, Placement]) -> tuple[SurroundAnswer, ...]:
    """Each light aimed at the subject (or at its own aim): the lit side, direct and bounced, and
    the side turned away, bounced alone.

    The lit side is the plane square to the line from the subject to the light; the shadow side is
    turned straight away from it.
    """
    lights, lit = lights_of(sheet), lit_room(sheet)
    if lit == OUTDOORS:
        return ()
    if isinstance(lit, Said):
        return tuple(
            SurroundAnswer(light=light.id, side=side, unknown=lit)
            for light in lights
            for side in ("key", "shadow")
        )
    lamps = {light.id: aimed(light, sheet, placements, lit) for light in lights}
    on_face = [one for one in lamps.values() if isinstance(one, Aimed)]
    carried = iter(_carried(on_face, lit))
    rows: list[SurroundAnswer] = []
    for light in lights:
        one = lamps[light.id]
        if isinstance(one, Said):
            rows += [
                SurroundAnswer(light=light.id, side=side, unknown=one) for side in ("key", "shadow")
            ]
        else:
            rows += _surround_rows(one, lit, next(carried))
    return tuple(rows)


@dataclass(frozen=True)
class Sides:
    """The two sides of a subject in one variant of the room: bounced spectra as shares (71,) and
    their lux.
    """

    key: FloatArray
    shadow: FloatArray
    key_lux: float
    shadow_lux: float
    landing: FloatArray  # (p, 71)


@dataclass(frozen=True)
class Aimed:
    """A light aimed at the subject: what it lays on the room, what it puts straight on the face,
    and what each side of the face sees.
    """

    lamp: Lamp
    subject: Point
    toward: FloatArray  # (3,) from the subject to the light
    aim_m: Point
    direct: float
    laid: Spot
    looks: tuple[View, View]  # lit side, shadow side
    assumed: tuple[Said, ...]

    def shares(self, reflectance: FloatArray, landing: FloatArray) -> FloatArray:
        """(2, 71) what the room adds to both sides; reflectance, landing: (p, 71)."""
        seen, unevenly = self._views
        return np.asarray(seen @ (reflectance * landing) + unevenly @ reflectance)

    @cached_property
    def _views(self) -> tuple[FloatArray, FloatArray]:
        return (
            np.stack([look.seen for look in self.looks]),
            np.stack([look.unevenly(self.laid) for look in self.looks]),
        )


def aimed(
    light: Light,
    sheet: RoomSheet,
    placements: Mapping[str, Placement],
    lit: LitRoom,
    moved_m: tuple[float, float] = (0.0, 0.0),
) -> Aimed | Said:
    """The light on its subject, or why it cannot be worked with; moved_m shifts subject, light and
    aim together over the floor.
    """
    marks = sheet.marks
    if marks is None or marks.subject is None:
        return NO_SUBJECT
    lamp = lamp_of(light, placements, lit)
    if isinstance(lamp, Said):
        return lamp
    named = Name(lamp.id)
    lamp = replace(
        lamp,
        at_m=_moved(lamp.at_m, moved_m),
        aim_m=None if lamp.aim_m is None else _moved(lamp.aim_m, moved_m),
    )
    subject = _moved(marks.subject, moved_m)
    way = np.array(lamp.at_m) - np.array(subject)
    if (distance_m := float(np.linalg.norm(way))) < NEAREST_SUBJECT_M:
        return said("bounce.on_the_mark", light=named)
    toward = way / distance_m
    lit_side, shadow_side = views(lit.room, subject, (toward, -toward))
    looks = (lit_side, shadow_side)
    why = in_the_open(lit, subject, looks[0]) or in_the_open(lit, subject, looks[1])
    if why is not None:
        return why
    aim_m = lamp.aim_m if lamp.aim_m is not None else subject
    assumed = lamp.assumed
    if float(np.linalg.norm(np.array(aim_m) - np.array(lamp.at_m))) < NEAREST_SUBJECT_M:
        return said("bounce.aimed_at_itself", light=named)
    direct = float(
        direct_at(lamp.at_m, aim_m, lamp.unit_lux, lamp.beam_deg, np.array(subject), toward)
    )
    if not bool(lit.room.patches.sees(lamp.at_m, subject)):
        direct = 0.0
        assumed = (*assumed, said("bounce.wall_between", light=named))
    elif direct < 1e-3 * lamp.unit_lux / distance_m**2:
        assumed = (*assumed, said("bounce.points_away", light=named))
    return Aimed(
        lamp,
        subject,
        toward,
        aim_m,
        direct,
        spot(lit.room, lamp.at_m, aim_m, lamp.unit_lux, lamp.beam_deg),
        looks,
        assumed,
    )


def _moved(at: Point, by_m: tuple[float, float]) -> Point:
    return (at[0] + by_m[0], at[1] + by_m[1], at[2])


def _surround_rows(found: Aimed, lit: LitRoom, carried: Carried) -> list[SurroundAnswer]:
    if not lit.missing:
        return _two_rows(found, lit, carried)
    lamp, direct, light = found.lamp, found.direct, found.lamp.colour.spectrum
    dark, pale = carried.variants[0], carried.variants[-1]
    contrast = (
        _stops(direct + pale.key_lux, pale.shadow_lux),
        _stops(direct + dark.key_lux, dark.shadow_lux),
    )
    each: tuple[tuple[Literal["key", "shadow"], float, list[FloatArray], tuple[float, float]], ...]
    each = (
        ("key", direct, [dark.key, pale.key], (dark.key_lux, pale.key_lux)),
        ("shadow", 0.0, [dark.shadow, pale.shadow], (dark.shadow_lux, pale.shadow_lux)),
    )
    rows = []
    for side, straight, ends, lux in each:
        row = SurroundAnswer(
            light=lamp.id,
            side=side,
            assumed=found.assumed,
            unknown=lit.because(),
            direct_lux=lamp.lux(straight),
            bounced_lux_range=lux if lamp.lux_at_1m is not None else None,
            contrast_stops_range=(contrast[0], contrast[1])
            if side == "shadow" and contrast[0] is not None and contrast[1] is not None
            else None,
        )
        if min(lux) + straight > 0:
            drawn = shifts(light, light * (np.stack(ends) + straight))
            casts = [shift.delta_e for shift in drawn]
            least = min((shift.risk for shift in drawn), key=RISKS.index)
            row = replace(
                row, risk_range=(least, RISKS[-1]), delta_e_range=(min(casts), max(casts))
            )
        rows.append(row)
    return rows


@dataclass(frozen=True)
class Carried:
    """The sides of one light in every variant of the room, and both views roughly solved, to tell
    which surface matters.
    """

    variants: tuple[Sides, ...]
    rough: tuple[Face, ...]  # lit side, shadow side; none where a surface is not measured


def _carried(on_face: Sequence[Aimed], lit: LitRoom) -> list[Carried]:
    """All the lights in one solution a variant, and all their views in another."""
    if not on_face:
        return []
    variants = []
    for reflectance in lit.reflectance:
        landing = landings(lit.room, reflectance, [one.laid.mean_lux for one in on_face])
        variants.append(
            [_sides(one, reflectance, land) for one, land in zip(on_face, landing, strict=True)]
        )
    rough = (
        ()
        if lit.missing
        else faces(
            lit.room,
            lit.reflectance[0],
            [look for one in on_face for look in one.looks],
            closed=ROUGHLY,
        )
    )
    return [
        Carried(tuple(variant[k] for variant in variants), rough[2 * k : 2 * k + 2])
        for k in range(len(on_face))
    ]


def sides_of(found: Aimed, lit: LitRoom, reflectance: FloatArray, closed: float = CLOSED) -> Sides:
    """What the room of these surfaces, (p, 71), adds to both sides of the face."""
    return _sides(
        found, reflectance, all_landing(lit.room, reflectance, found.laid.mean_lux, closed)
    )


def _sides(found: Aimed, reflectance: FloatArray, landing: FloatArray) -> Sides:
    key, shadow = found.shares(reflectance, landing)
    light = found.lamp.colour.spectrum
    return Sides(key, shadow, float(lux_of(light, key)), float(lux_of(light, shadow)), landing)


def contributions(found: Aimed, lit: LitRoom, side: Literal["key", "shadow"]) -> dict[str, float]:
    """Each surface's share, 0 to 1, of the bounced light on one side of the face; windows and doors
    by their own names.
    """
    look = found.looks[0 if side == "key" else 1]
    landing = all_landing(lit.room, lit.reflectance[0], found.laid.mean_lux)
    by_patch = lux_of(found.lamp.colour.spectrum, look.seen[:, None] * lit.reflectance[0] * landing)
    by_patch = by_patch + lux_of(
        found.lamp.colour.spectrum, look.unevenly(found.laid)[:, None] * lit.reflectance[0]
    )
    sums = np.maximum(lit.room.patches.by_surface(by_patch), 0.0)
    total = float(sums.sum())
    return (
        {name: float(part) / total for name, part in zip(lit.room.patches.names, sums, strict=True)}
        if total > 0
        else {}
    )


def _stops(more: float, less: float) -> float | None:
    return float(np.log2(more / less)) if more > 0 and less > 0 else None


def _two_rows(found: Aimed, lit: LitRoom, carried: Carried) -> list[SurroundAnswer]:
    lamp, sides, light = found.lamp, carried.variants[0], found.lamp.colour.spectrum
    contrast = _stops(found.direct + sides.key_lux, sides.shadow_lux)
    rows: list[SurroundAnswer] = []
    each: tuple[tuple[Literal["key", "shadow"], Face, FloatArray, float, float], ...] = (
        ("key", carried.rough[0], sides.key, sides.key_lux, found.direct),
        ("shadow", carried.rough[1], sides.shadow, sides.shadow_lux, 0.0),
    )
    lighted = [
        (look, sides.landing, share + straight)
        for _, look, share, bounced, straight in each
        if bounced + straight > 0
    ]
    judged = iter(_shifts_and_culprits(lit, light, lighted))
    for side, _, _, bounced, straight in each:
        row = SurroundAnswer(light=lamp.id, side=side, assumed=found.assumed, unknown=lamp.unknown)
        row = replace(row, direct_lux=lamp.lux(straight), bounced_lux=lamp.lux(bounced))
        if bounced + straight <= 0:
            rows.append(replace(row, unknown=said("bounce.no_light_here", light=Name(lamp.id))))
            continue
        shift, worst = next(judged)
        rows.append(
            replace(
                with_shift(row, shift),
                bounced_share=bounced / (bounced + straight),
                worst_surface=worst,
                loss_stops=loss_stops(lamp, bounced + straight),
                contrast_stops=contrast if side == "shadow" else None,
            )
        )
    return rows


def _shifts_and_culprits(
    lit: LitRoom, light: FloatArray, sides: Sequence[tuple[Face, FloatArray, FloatArray]]
) -> list[tuple[Shift, str | None]]:
    """For each side, (view, landing, arriving): its shift, and the surface to blame, or None.

    To blame is the one that, made a grey of the same lightness, would take the most colour away, to
    first order.
    """
    names = [name for name in lit.surfaces if name in lit.known]
    spectra = []
    for look, landing, total in sides:
        spectra.append(total)
        for name in names:
            spectrum = lit.known[name]
            grey = float(reflected_share(light, spectrum))
            spectra.append(
                np.maximum(total + (grey - spectrum) * look.through(name, landing), total * 0.01)
            )
    found = shifts(light, light * np.stack(spectra)) if spectra else ()
    out: list[tuple[Shift, str | None]] = []
    for first in range(0, len(found), len(names) + 1):
        shift, *others = found[first : first + len(names) + 1]
        gains = [shift.delta_e - one.delta_e for one in others]
        best = int(np.argmax(gains))
        out.append((shift, names[best] if gains[best] > LEAST_CULPRIT else None))
    return out
