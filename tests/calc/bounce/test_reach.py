"""Light carried through a room by wavelength: coarse wavelengths against all of them, and the
solver against random paths.
"""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from scout.bench import bounce as paths
from scout.calc.bounce.light import light_spectrum
from scout.calc.bounce.reach import all_landing, face, spot, view
from scout.calc.bounce.spectra import NM
from scout.calc.bounce.surface import SKINS, judging_patches, of_srgb
from scout.calc.radiosity import solve
from tests.calc.bounce.charts import GREEN, RED

CODES = ("#e8d9b0", "#7d2f2a", "#1f6f43", "#9fb58a", "#8a6f52", "#f5f1e6")


@pytest.mark.parametrize("kind", ["paints", "measured", "a narrow line"])
def test_fewer_wavelengths_change_nothing_that_shows(kind: str) -> None:
    # property: the equation solved in full, wavelength by wavelength (Goral et al. 1984), gives the
    # same light
    room = paths._solver(0.5)
    own = np.stack([of_srgb(code).spectrum for code in CODES])
    if kind == "measured":
        own[1], own[3] = (
            np.interp(NM, np.arange(380, 731, 10), [float(part) for part in chart.split()])
            for chart in (RED, GREEN)
        )
    if kind == "a narrow line":
        own[1] = np.where(
            np.abs(NM - 545) < 3, 0.9, 0.05
        )  # no paint, but a spectrum may hold anything from 0 to 1
    reflectance = own[room.patches.surface]
    laid = spot(room, paths.LAMP_M, (5.0, 2.0, 1.7), 9000, 55)
    looks = view(room, paths.SUBJECT_M, paths.LOOKS)
    exitance = solve(room.factors, reflectance, reflectance * laid.mean_lux[:, None])
    arriving = looks.seen @ exitance + np.sum(looks.detail * laid.lux, axis=1) @ reflectance
    assert face(room, reflectance, looks).arriving(laid) == pytest.approx(arriving, rel=1e-3)
    landing = laid.mean_lux[:, None] + room.factors @ exitance
    assert all_landing(room, reflectance, laid.mean_lux) == pytest.approx(landing, rel=1e-3)


def test_patches_agree_with_random_paths() -> None:
    # property: an independent method, random paths from the lamp connected to the face (Kajiya
    # 1986), in the same closed box
    spectra, light = (
        np.stack([of_srgb(code).spectrum for code in CODES]),
        light_spectrum("led", 5600.0).spectrum,
    )
    random = np.random.default_rng(11)
    drawn = np.stack([paths._paths(spectra, light, 4000, random) for _ in range(6)])
    spread = drawn.std(axis=0, ddof=1) / np.sqrt(len(drawn))
    assert np.all(
        np.abs(paths._lux(paths._solver(0.5), spectra, light) - drawn.mean(axis=0))
        < 4 * spread + 0.01 * drawn.mean(axis=0)
    )


def test_four_skins_are_measured_ones() -> None:
    # Source: CIE 13.3-1995 test colour 13 and the complexion of JIS Z 8726 (test colour 15), as
    # colour-science distributes them
    patches = judging_patches()
    assert len(SKINS) == len(patches) - 2 == 4
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    tcs13 = colour.quality.datasets.SDS_TCS["CIE 1995"]["TCS13"]
    assert patches[4] == pytest.approx([float(tcs13[float(nm)]) for nm in NM], abs=5e-4)
    tcs15 = colour.quality.datasets.SDS_TCS["CIE 2024"]["TCS15"]
    assert patches[5] == pytest.approx([float(tcs15[float(nm)]) for nm in NM], abs=5e-4)
