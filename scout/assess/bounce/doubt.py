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
from scout.calc.bounce.reach import Spot, View, spot
from scout.calc.bounce.shift import RISKS, casts
from scout.calc.bounce.spectra import NM
from scout.calc.geometry import FloatArray
from scout.records.sheet import RoomSheet
from scout.values import Said, Word, said, words

__all__ = ["ASSUMED", "doubted", "draws", "ranged"]

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
    lamps = {light.id: lamp_of(light, placements, lit) for light in lights_of(sheet)}
    laid: dict[int, tuple[Spot, FloatArray]] = {}
    for number, row in enumerate(rows):
        lamp = lamps.get(row.light)
        if row.risk is not None and row.aim_m is not None and isinstance(lamp, Lamp):
            on_room = spot(lit.room, lamp.at_m, row.aim_m, lamp.unit_lux, lamp.beam_deg)
            laid[number] = on_room, lamp.colour.spectrum
    if not laid:
        return rows
    spots = [on_room for on_room, _ in laid.values()]
    shares = _by_surfaces(lit, drawn, [looks], spots, [(0, k) for k in range(len(spots))])
    found = {
        number: ranged(rows[number], light, light * share)
        for (number, (_, light)), share in zip(laid.items(), shares, strict=True)
    }
    return tuple(found.get(number, row) for number, row in enumerate(rows))


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
    arriving = {}
    for (name, found), (key, shadow) in zip(lamps.items(), shares, strict=True):
        lamp = found.lamp.colour.spectrum
        arriving[name, "key"] = lamp, lamp * (key + found.direct)
        arriving[name, "shadow"] = lamp, lamp * shadow
    return tuple(
        ranged(row, *arriving[row.light, row.side])
        if row.risk is not None and (row.light, row.side) in arriving
        else row
        for row in rows
    )


def ranged(row: Row, balanced: FloatArray, spectra: FloatArray) -> Row:
    """The row with the risks that nine of ten draws lie between, never without its own, and the
    same of grey. balanced: (71,) light that the camera is set to;  spectra: (draws, 71)
    """
    risk = row.risk or "none"
    risks, greys = casts(balanced, spectra)
    ranks = [RISKS.index(one) for one in risks]
    least, most = (float(part) for part in np.percentile(greys, (LOW_PCT, HIGH_PCT)))
    low = min(int(np.percentile(ranks, LOW_PCT, method="lower")), RISKS.index(risk))
    high = max(int(np.percentile(ranks, HIGH_PCT, method="higher")), RISKS.index(risk))
    mights = [RISKS[k] for k in dict.fromkeys((low, high)) if RISKS[k] != risk]
    doubt = said(
        "bounce.doubt",
        risk=Word("risk", risk),
        might=words("risk", mights, "or") if mights else None,
    )
    return replace(
        row, risk_range=(RISKS[low], RISKS[high]), doubt=doubt, delta_e_range=(least, most)
    )
