"""How far the verdict on bounced light can be trusted: surface colours drawn within what their
recording leaves open.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from scout.assess.answers import BounceAnswer, Placement, SurroundAnswer
from scout.assess.bounce.lamp import Lamp, lamp_of
from scout.assess.bounce.room import LitRoom, lit_room
from scout.assess.bounce.start import lights_of, subject_look
from scout.assess.bounce.surround import Aimed, aimed
from scout.assess.bounce.worst import Row
from scout.assess.recorded import ASSUMED, LEVEL, trust_of
from scout.calc.bounce.drawn import by_surfaces
from scout.calc.bounce.reach import Spot, View, spots
from scout.calc.bounce.shift import RISKS, casts
from scout.calc.bounce.spectra import NM
from scout.calc.geometry import FloatArray
from scout.records.sheet import RoomSheet
from scout.values import Said, Word, said, words

__all__ = ["ASSUMED", "doubted", "draws", "ranged"]

DRAWS = 24
LOW_PCT, HIGH_PCT = 5.0, 95.0
BRIGHTEST = 0.98
SIDES = ("key", "shadow")


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
    drawn = draws(sheet, lit)
    return _bounces(sheet, placements, lit, drawn, bounces), _surrounds(
        sheet, placements, lit, drawn, surrounds
    )


def draws(sheet: RoomSheet, lit: LitRoom) -> list[FloatArray]:
    """DRAWS sets of (surfaces, 71) reflectances: each surface a little lighter or darker, and
    tinted in smooth thirds of the spectrum.
    """
    random = np.random.default_rng(20)
    names, own = lit.room.patches.names, lit.spectra
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


def _by_surfaces(
    lit: LitRoom,
    drawn: Sequence[FloatArray],
    looks: Sequence[View],
    laid: Sequence[Spot],
    pairs: Sequence[tuple[int, int]],
) -> FloatArray:
    """(pairs, draws, 71) what the room adds at some views for some spots, both by their places."""
    patches = lit.room.patches
    seen = np.stack([look.seen for look in looks], axis=1)
    lux = np.stack([on_room.mean_lux for on_room in laid], axis=1)
    found = by_surfaces(lit.room, patches.surface, lit.spectra, drawn, seen, lux)
    unevenly = np.stack([looks[n].unevenly(laid[m]) for n, m in pairs], axis=1)
    sums: FloatArray = np.einsum(
        "sk,dsw->kdw", patches.by_surface(unevenly), np.stack(drawn), optimize=True
    )
    return np.asarray(np.stack([found[:, n, m] for n, m in pairs]) + sums)


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
    asked: list[tuple[list[int], FloatArray]] = []  # rows and spectrum, lamp by lamp
    laid: list[Spot] = []
    for light in lights_of(sheet):
        lamp = lamp_of(light, placements, lit)
        mine = {
            number: row.aim_m
            for number, row in enumerate(rows)
            if row.light == light.id and row.risk is not None and row.aim_m is not None
        }
        if mine and isinstance(lamp, Lamp):
            aims = list(mine.values())
            laid += spots(lit.room, lamp.at_m, aims, lamp.unit_lux, lamp.beam_deg)
            asked.append((list(mine), lamp.colour.spectrum))
    if not laid:
        return rows
    shares = iter(_by_surfaces(lit, drawn, [looks], laid, [(0, k) for k in range(len(laid))]))
    found = list(rows)
    for numbers, of_lamp in asked:
        spectra = of_lamp * np.stack([next(shares) for _ in numbers])
        doubted = ranged([rows[number] for number in numbers], of_lamp, spectra)
        for number, row in zip(numbers, doubted, strict=True):
            found[number] = row
    return tuple(found)


def _surrounds(
    sheet: RoomSheet,
    placements: Mapping[str, Placement],
    lit: LitRoom,
    drawn: list[FloatArray],
    rows: tuple[SurroundAnswer, ...],
) -> tuple[SurroundAnswer, ...]:
    lights = {light.id: aimed(light, sheet, placements, lit) for light in lights_of(sheet)}
    lamps = {name: found for name, found in lights.items() if isinstance(found, Aimed)}
    if not lamps:
        return rows
    count = len(lamps)
    shares = _by_surfaces(
        lit,
        drawn,
        [look for found in lamps.values() for look in found.looks],
        [found.laid for found in lamps.values()],
        [(2 * k + side, k) for k in range(count) for side in (0, 1)],
    ).reshape(count, 2, len(drawn), -1)
    found = list(rows)
    for (name, lamp), both in zip(lamps.items(), shares, strict=True):
        light = lamp.lamp.colour.spectrum
        spectra = light * (both + np.array([lamp.direct, 0.0])[:, None, None])
        mine = {
            number: SIDES.index(row.side)
            for number, row in enumerate(rows)
            if row.light == name and row.risk is not None
        }
        doubted = ranged([rows[number] for number in mine], light, spectra[list(mine.values())])
        for number, row in zip(mine, doubted, strict=True):
            found[number] = row
    return tuple(found)


def ranged(rows: Sequence[Row], balanced: FloatArray, spectra: FloatArray) -> list[Row]:
    """The rows with the risks that nine of ten draws lie between, never without their own, and the
    same of grey. balanced: (71,) light that the camera is set to;  spectra: (rows, draws, 71)
    """
    if not rows:
        return []
    risks, greys = casts(balanced, spectra.reshape(-1, spectra.shape[-1]))
    ranks = np.array([RISKS.index(one) for one in risks]).reshape(len(rows), -1)
    ends = np.percentile(np.reshape(greys, ranks.shape), (LOW_PCT, HIGH_PCT), axis=1).T.tolist()
    lowest = np.percentile(ranks, LOW_PCT, method="lower", axis=1).tolist()
    highest = np.percentile(ranks, HIGH_PCT, method="higher", axis=1).tolist()
    found = []
    for row, (least, most), low, high in zip(rows, ends, lowest, highest, strict=True):
        risk = row.risk or "none"
        low, high = min(low, RISKS.index(risk)), max(high, RISKS.index(risk))
        mights = [RISKS[k] for k in dict.fromkeys((low, high)) if RISKS[k] != risk]
        doubt = said(
            "bounce.doubt",
            risk=Word("risk", risk),
            might=words("risk", mights, "or") if mights else None,
        )
        found.append(
            replace(
                row,
                risk_range=(RISKS[low], RISKS[high]),
                doubt=doubt,
                delta_e_range=(least, most),
            )
        )
    return found
