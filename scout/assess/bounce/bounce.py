"""Bounced light: each light of the kit off each surface."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from scout.assess.answers import BlockNote, BounceAnswer, Placement, Point
from scout.assess.bounce.lamp import Lamp, lamp_of, square_aim
from scout.assess.bounce.room import OUTDOORS, LitRoom, lit_room, of_surface
from scout.assess.bounce.start import (
    NO_LIGHTS,
    NO_SUBJECT,
    REFERENCE_M,
    facing,
    lights_of,
    loss_stops,
    no_room,
    subject_faces,
    with_shift,
)
from scout.calc.bounce.reach import Face, Spot, lux_of, spots
from scout.calc.bounce.shift import POINTLESS_STOPS, Shift, nearest_gels, shifts
from scout.calc.geometry import FloatArray
from scout.calc.radiosity import direct_at
from scout.records.sheet import RoomSheet
from scout.values import Figure, Said, said, words

SIDES = said("bounce.sides")
FLAGGED, LAMPS_ALONE = said("bounce.flagged"), said("bounce.lamps_alone")


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
    looks = subject_faces(sheet, lit)
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


def _gels(lamp: Lamp, bounced: FloatArray, shift: Shift) -> Said | None:
    """The trade gels that come nearest to undoing the bounce; None where none is needed or can."""
    gels = nearest_gels(lamp.colour.spectrum, bounced, shift)
    if gels is None:
        return None
    low, high = gels.mired
    mired = Figure((low + high) / 2, "mired", low, high) if low else None
    return said("bounce.gels", gels=words("gel", gels.names), mired=mired)


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
        "bounce": BlockNote((*lit.assumed, *facing(sheet)[1], FLAGGED), unknown),
        "surround": BlockNote((*lit.assumed, SIDES, LAMPS_ALONE), unknown),
    }


def _turned(sheet: RoomSheet) -> tuple[Point, FloatArray]:
    """Where the subject's face is and which way it looks; known where there are rows to work out."""
    assert sheet.marks is not None
    assert sheet.marks.subject is not None
    way, _ = facing(sheet)
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
    losses = [loss_stops(lamp, figure) for figure in lux]
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
        unflagged_loss_stops=loss_stops(lamp, spill + lux[0]),
    ), lamp.colour.spectrum * arriving[0]
