"""Bounces among patterns of light against bounces among all the patches."""

from __future__ import annotations

import numpy as np
import pytest

from scout.bench import bounce as paths
from scout.calc.bounce.drawn import by_surfaces
from scout.calc.bounce.reach import faces_of_each, spot, view
from scout.calc.bounce.spectra import NM
from scout.calc.bounce.surface import of_srgb
from tests.calc.bounce.test_reach import CODES

LIGHTS = ((5.0, 2.0, 1.7), (1.0, 1.0, 2.5), (3.0, 2.0, 0.1))


@pytest.mark.parametrize("looking", [1, 2, 6])
def test_a_few_patterns_carry_the_light_of_all_patches(looking: int) -> None:
    # property: the same equation solved on the patches, in a room of paints a third lighter and
    # darker, one surface without the least reflectance; more lights than views and fewer
    room = paths._solver(0.5)
    surface = room.patches.surface
    own = np.stack([of_srgb(code).spectrum for code in CODES])
    own[2] = 0.0
    random = np.random.default_rng(3)
    wave = np.cos(np.linspace(0.0, np.pi, len(NM)))
    drawn = [
        np.clip(own * np.exp(0.3 * a[:, :1] + 0.1 * a[:, 1:] * wave), 0.0, 0.98)
        for a in random.standard_normal((5, len(own), 2))
    ]
    ways = np.vstack([np.eye(3), -np.eye(3)])[:looking]
    looks = [view(room, paths.SUBJECT_M, way) for way in ways]
    laid = np.stack([spot(room, paths.LAMP_M, at, 9000, 55).mean_lux for at in LIGHTS], axis=1)
    seen = np.stack([look.seen for look in looks], axis=1)
    found = by_surfaces(room, surface, own, drawn, seen, laid)
    faces = faces_of_each(room, (one[surface] for one in drawn), looks)
    exact = np.array([[laid.T @ there.weight for there in each] for each in faces])
    assert found == pytest.approx(exact, rel=0.015)
    assert np.mean(np.abs(found / exact - 1.0)) < 0.002
