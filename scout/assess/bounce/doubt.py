"""How far the verdict on bounced light can be trusted: surface colours drawn within what their
recording leaves open.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from scout.assess.answers import BounceAnswer, Placement, Risk, SurroundAnswer
from scout.assess.bounce.bounce import ROUGHLY, Aimed, aimed, sides_of, subject_look
from scout.assess.bounce.lamp import Lamp, lamp_of
from scout.assess.bounce.recorded import ASSUMED, LEVEL, trust_of
from scout.assess.bounce.room import LitRoom, lit_room
from scout.calc.bounce.reach import face, spot
from scout.calc.bounce.shift import RISKS, shifts
from scout.calc.bounce.spectra import NM
from scout.calc.geometry import FloatArray
from scout.records.sheet import RoomSheet
from scout.values import Said, Word, said, words

__all__ = ["ASSUMED", "doubted"]

DRAWS = 24
LOW_PCT, HIGH_PCT = 5.0, 95.0
BRIGHTEST = 0.98


def doubted(
    sheet: RoomSheet,
    placements: Mapping[str, Placement],
    bounces: tuple[BounceAnswer, ...],
    surrounds: tuple[SurroundAnswer, ...],
) -> tuple[tuple[BounceAnswer, ...], tuple[SurroundAnswer, ...]]:
    """The rows with `risk_range` and `doubt`, where they have a risk; the draws are the same every
    time.
    """
    lit = lit_room(sheet)
    if (
        isinstance(lit, Said)
        or lit.missing
        or not any(
            risk for risk in (*(row.risk for row in bounces), *(row.risk for row in surrounds))
        )
    ):
        return bounces, surrounds
    drawn = [reflectance[lit.room.patches.surface] for reflectance in _draws(sheet, lit)]
    return _bounces(sheet, placements, lit, drawn, bounces), _surrounds(
        sheet, placements, lit, drawn, surrounds
    )


def _draws(sheet: RoomSheet, lit: LitRoom) -> list[FloatArray]:
    """DRAWS sets of (surfaces, 71) reflectances: each surface a little lighter or darker, and
    tinted in smooth thirds of the spectrum.
    """
    random = np.random.default_rng(20)
    names = lit.room.patches.names
    first = np.unique(lit.room.patches.surface, return_index=True)
    own = np.zeros((len(names), len(NM)))
    own[first[0]] = lit.reflectance[0][first[1]]
    bumps = np.stack(
        [1.0 / (1.0 + np.exp((NM - 500.0) / 12.0)), 1.0 / (1.0 + np.exp((590.0 - NM) / 12.0))]
    )
    thirds = np.stack([bumps[0], 1.0 - bumps[0] - bumps[1], bumps[1]])
    trusts = [trust_of(sheet, name) if name in lit.known else LEVEL for name in names]
    spreads = np.array([(trust.level, trust.tint) for trust in trusts])
    drawn = []
    for _ in range(DRAWS):
        level, tint = (
            random.standard_normal((len(names), 1)),
            random.standard_normal((len(names), 3)),
        )
        drawn.append(
            np.clip(
                own * np.exp(spreads[:, :1] * level + spreads[:, 1:] * (tint @ thirds)),
                0.0,
                BRIGHTEST,
            )
        )
    return drawn


def _bounces(
    sheet: RoomSheet,
    placements: Mapping[str, Placement],
    lit: LitRoom,
    drawn: list[FloatArray],
    rows: tuple[BounceAnswer, ...],
) -> tuple[BounceAnswer, ...]:
    looks = subject_look(sheet, lit)
    if isinstance(looks, Said):
        return rows
    faces = [
        face(lit.room, reflectance, looks, ROUGHLY) for reflectance in (lit.reflectance[0], *drawn)
    ]
    lamps = {
        light.id: lamp_of(light, placements, lit)
        for light in (sheet.kit.lights if sheet.kit and sheet.kit.lights else ())
    }
    out = []
    for row in rows:
        lamp = lamps.get(row.light)
        if row.risk is None or row.aim_m is None or not isinstance(lamp, Lamp):
            out.append(row)
            continue
        laid = spot(lit.room, lamp.at_m, row.aim_m, lamp.unit_lux, lamp.beam_deg)
        low, high, doubt, spread = _range(
            lamp, np.stack([one.arriving(laid) for one in faces]), row.risk
        )
        out.append(replace(row, risk_range=(low, high), doubt=doubt, delta_e_range=spread))
    return tuple(out)


def _surrounds(
    sheet: RoomSheet,
    placements: Mapping[str, Placement],
    lit: LitRoom,
    drawn: list[FloatArray],
    rows: tuple[SurroundAnswer, ...],
) -> tuple[SurroundAnswer, ...]:
    shares: dict[tuple[str, str], tuple[Lamp, FloatArray]] = {}
    for light in sheet.kit.lights if sheet.kit and sheet.kit.lights else ():
        found = aimed(light, sheet, placements, lit)
        if not isinstance(found, Aimed):
            continue
        sides = [
            sides_of(found, lit, reflectance, ROUGHLY)
            for reflectance in (lit.reflectance[0], *drawn)
        ]
        shares[light.id, "key"] = found.lamp, np.stack([side.key + found.direct for side in sides])
        shares[light.id, "shadow"] = found.lamp, np.stack([side.shadow for side in sides])
    out = []
    for row in rows:
        if row.risk is None or (row.light, row.side) not in shares:
            out.append(row)
            continue
        lamp, arriving = shares[row.light, row.side]
        low, high, doubt, spread = _range(lamp, arriving, row.risk)
        out.append(replace(row, risk_range=(low, high), doubt=doubt, delta_e_range=spread))
    return tuple(out)


def _range(
    lamp: Lamp, arriving: FloatArray, risk: Risk
) -> tuple[Risk, Risk, Said, tuple[float, float]]:
    """The risks that nine of ten draws lie between, never without the risk itself, both in one
    value, and the same of grey. arriving: (1 + draws, 71)
    """
    light = lamp.colour.spectrum
    drawn = shifts(light, light * arriving[1:])
    ranks = [RISKS.index(shift.risk) for shift in drawn]
    least, most = (
        float(part)
        for part in np.percentile([shift.delta_e for shift in drawn], (LOW_PCT, HIGH_PCT))
    )
    low = min(int(np.percentile(ranks, LOW_PCT, method="lower")), RISKS.index(risk))
    high = max(int(np.percentile(ranks, HIGH_PCT, method="higher")), RISKS.index(risk))
    mights = [RISKS[k] for k in dict.fromkeys((low, high)) if RISKS[k] != risk]
    return (
        RISKS[low],
        RISKS[high],
        said(
            "bounce.doubt",
            risk=Word("risk", risk),
            might=words("risk", mights, "or") if mights else None,
        ),
        (least, most),
    )
