"""Bounced light: each light of the kit off each surface, and what the room adds to a light that is
aimed at the subject.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np

from scout.assess.answers import (
    BlockNote,
    BounceAnswer,
    Placement,
    Point,
    SurroundAnswer,
    unmeasured,
)
from scout.assess.bounce.lamp import Lamp, lamp_of, square_aim
from scout.assess.bounce.room import OUTDOORS, LitRoom, lit_room, of_surface
from scout.assess.bounce.worst import Row
from scout.calc.bounce.reach import (
    CLOSED,
    Face,
    Spot,
    View,
    all_landing,
    face,
    faces,
    landings,
    lux_of,
    spot,
    spots,
    view,
    views,
)
from scout.calc.bounce.shift import POINTLESS_STOPS, RISKS, Shift, nearest_gels, shifts
from scout.calc.bounce.spectra import reflected_share
from scout.calc.bounce.surface import SKINS
from scout.calc.geometry import FloatArray
from scout.calc.radiosity import direct_at
from scout.records.sheet import Light, RoomSheet
from scout.values import Figure, Name, Said, Word, said, words

REFERENCE_M = 2.0  # losses are against the same light this far off, square on
NO_LIGHTS = said("bounce.no_lights")
NO_SUBJECT = unmeasured("marks.subject")
NO_LOOK = unmeasured("marks.subject_normal", "marks.camera")
ON_A_SURFACE = said("bounce.subject_on_a_surface")
LEVEL_FACE, SIDES = said("bounce.level_face"), said("bounce.sides")
FLAGGED, LAMPS_ALONE = said("bounce.flagged"), said("bounce.lamps_alone")
NEAREST_SUBJECT_M = 0.05
SEES_ENOUGH = (
    0.98  # a face inside the room sees surfaces all round; at less it stands on or in a wall
)
ROUGHLY = 1e-2  # enough to tell which surface matters
LEAST_CULPRIT = 0.05  # CIEDE2000 of grey: a surface that explains less is no culprit


def bounce(sheet: RoomSheet, placements: Mapping[str, Placement]) -> tuple[BounceAnswer, ...]:
    """Each light aimed square at each surface, nothing direct on the subject: a row a light and
    surface, in the order of the kit.

    Figures that need something unmeasured are None and the row's `unknown` says what; never raises
    for a valid sheet.
    """
    lights, lit = lights_of(sheet), lit_room(sheet)
    if lit == OUTDOORS:
        return ()
    if isinstance(lit, Said):
        return tuple(
            BounceAnswer(light=light.id, surface=name, unknown=lit)
            for light in lights
            for name in tuple(sheet.room.surfaces or {}) or ("ceiling",)
        )
    looks = _subject_faces(sheet, lit)
    rows: list[BounceAnswer] = []
    for light in lights:
        lamp = lamp_of(light, placements, lit)
        why = next((one for one in (lamp, looks) if isinstance(one, Said)), None)
        if isinstance(lamp, Said) or isinstance(looks, Said):
            rows += [
                BounceAnswer(light=light.id, surface=name, unknown=why) for name in lit.surfaces
            ]
        else:
            rows += _judged(_bounce_rows(lamp, lit, looks, _turned(sheet)), lamp)
    return tuple(rows)


def _judged(rows: list[tuple[BounceAnswer, FloatArray | None]], lamp: Lamp) -> list[BounceAnswer]:
    """The rows of one lamp with the colour of each bounced spectrum judged, all at once: flagged
    off the face, and with what it spills there.
    """
    light = lamp.colour.spectrum
    judged = [(row, bounced) for row, bounced in rows if bounced is not None]
    spectra = [bounced for _, bounced in judged]
    spectra += [bounced + light * _spilt(row, lamp) for row, bounced in judged]
    found = shifts(light, np.stack(spectra)) if spectra else ()
    both = iter(zip(found[: len(judged)], found[len(judged) :], strict=True))
    out = []
    for row, bounced in rows:
        if bounced is not None:
            flagged, bare = next(both)
            row = _with_gels(row, lamp, bounced, flagged)
            row = replace(row, unflagged_delta_e=bare.delta_e, unflagged_risk=bare.risk)
        out.append(row)
    return out


def _spilt(row: BounceAnswer, lamp: Lamp) -> float:
    """Lux that the lamp, unflagged, throws straight on the face, at its unit_lux."""
    loss, share = row.unflagged_loss_stops, row.spill_share
    return (
        0.0 if loss is None or share is None else share * lamp.unit_lux / REFERENCE_M**2 / 2**loss
    )


def _with_gels(row: BounceAnswer, lamp: Lamp, bounced: FloatArray, shift: Shift) -> BounceAnswer:
    worth = shift.risk != "none" and (row.loss_stops or 0.0) <= POINTLESS_STOPS
    return replace(with_shift(row, shift), remedy=_gels(lamp, bounced, shift) if worth else None)


SHIFTED = (
    "xy",
    "cct_k",
    "duv",
    "duv_shift",
    "mired_shift",
    "delta_e",
    "delta_e_white",
    "delta_e_skin",
    "delta_e_dark_skin",
    "delta_e_skin_balanced",
    "risk",
)


def with_shift(row: Row, shift: Shift) -> Row:
    """A row with the figures of its colour, as many as it has."""
    figures: dict[str, Any] = {name: getattr(shift, name) for name in SHIFTED if hasattr(row, name)}
    if hasattr(row, "delta_e_skins"):
        figures["delta_e_skins"] = dict(zip(SKINS, shift.delta_e_skins, strict=True))
    # of no cast the colour is what rounding leaves of it
    tint = None if shift.risk == "none" else Word("tint", shift.tint)
    return replace(row, tint=tint, **figures)


def _gels(lamp: Lamp, bounced: FloatArray, shift: Shift) -> Said | None:
    """The trade gels that come nearest to undoing the bounce; None where none is needed or can."""
    gels = nearest_gels(lamp.colour.spectrum, bounced, shift)
    if gels is None:
        return None
    low, high = gels.mired
    mired = Figure((low + high) / 2, "mired", low, high) if low else None
    return said("bounce.gels", gels=words("gel", gels.names), mired=mired)


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


def notes(sheet: RoomSheet) -> dict[str, BlockNote]:
    """What holds for every row of the blocks `bounce` and `surround`: assumptions about the room,
    and why a whole block is missing.
    """
    lit = lit_room(sheet)
    if isinstance(lit, Said):
        note = no_room(lit)
        return {"bounce": note, "surround": note}
    unknown = None if lights_of(sheet) else NO_LIGHTS
    if unknown is None and (sheet.marks is None or sheet.marks.subject is None):
        unknown = NO_SUBJECT
    return {
        "bounce": BlockNote((*lit.assumed, *_facing(sheet)[1], FLAGGED), unknown),
        "surround": BlockNote((*lit.assumed, SIDES, LAMPS_ALONE), unknown),
    }


def no_room(why: Said) -> BlockNote:
    """The note where there is no room to work with; outdoors nothing is unknown, there is none."""
    return BlockNote((why,)) if why == OUTDOORS else BlockNote(unknown=why)


def lights_of(sheet: RoomSheet) -> tuple[Light, ...]:
    """The lights of the kit."""
    return (sheet.kit.lights or ()) if sheet.kit is not None else ()


def _facing(sheet: RoomSheet) -> tuple[FloatArray | None, tuple[Said, ...]]:
    """(3,) the way the subject's face looks, with what was assumed; None when nothing tells."""
    marks = sheet.marks
    if marks is None or marks.subject is None:
        return None, ()
    if marks.subject_normal is not None:
        way = np.array(marks.subject_normal, dtype=np.float64)
        return way / np.linalg.norm(way), ()
    if marks.camera is None:
        return None, ()
    way = np.array([marks.camera[0] - marks.subject[0], marks.camera[1] - marks.subject[1], 0.0])
    if (length := float(np.linalg.norm(way))) < NEAREST_SUBJECT_M:
        return None, ()
    return way / length, (LEVEL_FACE,)


def _in_the_open(lit: LitRoom, subject: Point, looks: View) -> Said | None:
    """Why a face cannot be worked with where it stands, or None."""
    if (
        not 0 < subject[2] < lit.room.patches.height_m
        or abs(float(looks.seen.sum()) - 1.0) > 1.0 - SEES_ENOUGH
    ):
        return ON_A_SURFACE
    return None


def subject_look(sheet: RoomSheet, lit: LitRoom) -> View | Said:
    """What the subject's face sees of the room, or why there is none."""
    marks = sheet.marks
    if marks is None or marks.subject is None:
        return NO_SUBJECT
    way, _ = _facing(sheet)
    if way is None:
        return NO_LOOK
    looks = view(lit.room, marks.subject, way)
    return _in_the_open(lit, marks.subject, looks) or looks


def _subject_faces(sheet: RoomSheet, lit: LitRoom) -> tuple[Face, ...] | Said:
    """The subject's face in each variant of the room, or why there is none."""
    looks = subject_look(sheet, lit)
    return (
        looks
        if isinstance(looks, Said)
        else tuple(face(lit.room, reflectance, looks) for reflectance in lit.reflectance)
    )


def _loss_stops(lamp: Lamp, lux: float) -> float | None:
    return float(np.log2(lamp.unit_lux / REFERENCE_M**2 / lux)) if lux > 0 else None


def _turned(sheet: RoomSheet) -> tuple[Point, FloatArray]:
    """Where the subject's face is and which way it looks; known where there are rows to work out."""
    assert sheet.marks is not None
    assert sheet.marks.subject is not None
    way, _ = _facing(sheet)
    assert way is not None
    return sheet.marks.subject, way


def _spill(lamp: Lamp, lit: LitRoom, turned: tuple[Point, FloatArray], aim_m: Point) -> float:
    """Lux, at unit_lux, that a lamp turned at a surface throws straight on the face."""
    at, (subject, way) = np.array(lamp.at_m), turned
    if not bool(lit.room.patches.sees(lamp.at_m, subject)):
        return 0.0
    return float(direct_at(at, aim_m, lamp.unit_lux, lamp.beam_deg, np.array(subject), way))


def _bounce_rows(
    lamp: Lamp, lit: LitRoom, looks: tuple[Face, ...], turned: tuple[Point, FloatArray]
) -> list[tuple[BounceAnswer, FloatArray | None]]:
    """The rows of one lamp but for their colour, and each one's bounced spectrum to judge, None
    when it cannot be.
    """
    aims: dict[str, tuple[Point, Said | None] | Said] = dict(lit.missing)
    aims |= {name: said("bounce.open_side", surface=of_surface(name)) for name in lit.open_sides}
    aims |= {name: square_aim(lamp, lit, name) for name in lit.surfaces if name not in aims}
    squarely = {name: aim for name, aim in aims.items() if not isinstance(aim, Said)}
    laid = dict(
        zip(
            squarely,
            spots(
                lit.room,
                lamp.at_m,
                [aim_m for aim_m, _ in squarely.values()],
                lamp.unit_lux,
                lamp.beam_deg,
            ),
            strict=True,
        )
    )
    rows: list[tuple[BounceAnswer, FloatArray | None]] = []
    for name in lit.surfaces:
        row = BounceAnswer(light=lamp.id, surface=name, assumed=lamp.assumed)
        aim = aims[name]
        if isinstance(aim, Said):
            rows.append((replace(row, unknown=aim), None))
            continue
        aim_m, note = aim
        assumed = (*lamp.assumed, *lit.assumed_of.get(name, ()), *((note,) if note else ()))
        row = replace(row, aim_m=aim_m, assumed=assumed)
        spill = _spill(lamp, lit, turned, aim_m)
        rows.append(_bounce_row(lamp, lit, looks, row, laid[name], spill))
    return rows


def _bounce_row(
    lamp: Lamp,
    lit: LitRoom,
    looks: tuple[Face, ...],
    row: BounceAnswer,
    laid: Spot,
    spill: float,
) -> tuple[BounceAnswer, FloatArray | None]:
    arriving = [look.arriving(laid) for look in looks]
    lux = [float(lux_of(lamp.colour.spectrum, share)) for share in arriving]
    losses = [_loss_stops(lamp, figure) for figure in lux]
    if min(lux) <= 0 or losses[0] is None or losses[-1] is None:
        return replace(
            row,
            bounced_lux=lamp.lux(0.0),
            unknown=said("bounce.nothing_arrives", surface=of_surface(row.surface)),
        ), None
    if lit.missing:
        return replace(
            row,
            unknown=lit.because(),
            loss_stops_range=(losses[-1], losses[0]),
            bounced_lux_range=(lux[0], lux[-1]) if lamp.lux_at_1m is not None else None,
            spill_lux=lamp.lux(spill),
        ), None
    return replace(
        row,
        unknown=lamp.unknown,
        bounced_lux=lamp.lux(lux[0]),
        loss_stops=losses[0],
        spill_lux=lamp.lux(spill),
        spill_share=spill / (spill + lux[0]),
        unflagged_lux=lamp.lux(spill + lux[0]),
        unflagged_loss_stops=_loss_stops(lamp, spill + lux[0]),
    ), lamp.colour.spectrum * arriving[0]


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
    why = _in_the_open(lit, subject, looks[0]) or _in_the_open(lit, subject, looks[1])
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
    key, shadow = (look.arriving(reflectance, found.laid, landing) for look in found.looks)
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
        found.lamp.colour.spectrum,
        np.sum(look.detail * found.laid.lux, axis=1)[:, None] * lit.reflectance[0],
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
                loss_stops=_loss_stops(lamp, bounced + straight),
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
