"""The spectrum of a lamp from its kind, its colour temperature and, where measured, its Duv."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from scout.calc.bounce.spectra import MOST_K, NM, daylight, on_grid, planck, scaled, xyz
from scout.calc.bounce.whiteness import cct_duv, uv_1960, uv_at
from scout.calc.geometry import FloatArray, require
from scout.errors import OutOfRange
from scout.values import Figure, Name, Said, said, words

KINDS = ("daylight", "tungsten", "led", "fluorescent")
NATURAL_DUV_DOUBT = (
    0.004  # daylight and tungsten have a Duv by nature: a stated one this near is taken as nature's
)
SAME_DUV = 0.0005  # a Duv is stated to three places


@dataclass(frozen=True)
class LightSpectrum:
    """A lamp's spectrum at Y = 1 on the grid, with how it was come by."""

    spectrum: FloatArray  # (71,)
    xyz: FloatArray  # (3,)
    cct_k: float
    duv: float
    assumed: tuple[Said, ...]


@lru_cache(maxsize=64)
def light_spectrum(kind: str, cct_k: float, duv: float | None = None) -> LightSpectrum:
    """A white light's spectrum by its kind.

    kind:   tungsten (full radiator), daylight (CIE D series), led (two CIE LED-B neighbours
        mixed by luminance for the
            temperature), fluorescent (nearest CIE FL)
    cct_k:  1000 to 25000 [K]; daylight from 4000, LED and fluorescent from 1700
    duv:    [-], within 0.05; None: as the kind has it
    Raises: OutOfRange, naming the argument
    Source: CIE 15:2018. Where the kind's own spectrum is not at the stated temperature and Duv
        it is multiplied by the
            mildest filter exp(a tilt + b green), tilt straight in wavelength, green a bell at 545
            nm, that brings it there
    """
    require("cct_k", cct_k, least=1000, most=MOST_K)
    if duv is not None:
        require("duv", duv, least=-0.05, most=0.05)
    if kind == "tungsten":
        return _natural(planck(cct_k), cct_k, duv)
    if kind == "daylight":
        if cct_k < 4000:
            raise OutOfRange(
                "cct_k", cct_k, said("refusal.colour.daylight_series", least=Figure(4000, "K"))
            )
        return _natural(daylight(cct_k), cct_k, duv)
    require("cct_k", cct_k, least=1700)
    if kind == "led":
        spectrum, assumed, nearest = _led(cct_k)
        return _steered(spectrum, cct_k, duv, assumed, steer_cct=nearest)
    if kind == "fluorescent":
        spectrum, assumed = _fluorescent(cct_k)
        return _steered(spectrum, cct_k, duv, assumed, steer_cct=True)
    raise OutOfRange(
        "spectrum", kind, said("refusal.colour.one_of", options=words("spectrum", KINDS, "or"))
    )


def _made(spectrum: FloatArray, assumed: tuple[Said, ...]) -> LightSpectrum:
    power = scaled(spectrum)
    power.flags.writeable = False
    values = xyz(power)
    cct, duv = cct_duv(uv_1960(values))
    return LightSpectrum(power, values, float(cct), float(duv), assumed)


def _natural(spectrum: FloatArray, cct_k: float, duv: float | None) -> LightSpectrum:
    light = _made(spectrum, ())
    if duv is None or abs(duv - light.duv) <= SAME_DUV:
        return light
    if abs(duv - light.duv) <= NATURAL_DUV_DOUBT:
        taken = said("bounce.natural_duv", natural=Figure(light.duv), given=Figure(duv))
        return _made(spectrum, (taken,))
    return _steered(spectrum, cct_k, duv, (), steer_cct=True)


def _steered(
    spectrum: FloatArray,
    cct_k: float,
    duv: float | None,
    assumed: tuple[Said, ...],
    *,
    steer_cct: bool,
) -> LightSpectrum:
    light = _made(spectrum, assumed)
    wanted_duv = light.duv if duv is None else duv
    if (not steer_cct or abs(1e6 / light.cct_k - 1e6 / cct_k) < 0.1) and abs(
        wanted_duv - light.duv
    ) <= SAME_DUV:
        return light
    made = _made(
        _filtered(light.spectrum, uv_at(cct_k if steer_cct else light.cct_k, wanted_duv)), ()
    )
    filtered = said("bounce.steered", cct=Figure(made.cct_k, "K"), duv=Figure(made.duv))
    return LightSpectrum(made.spectrum, made.xyz, made.cct_k, made.duv, (*assumed, filtered))


def _filtered(spectrum: FloatArray, target_uv: FloatArray) -> FloatArray:
    """The spectrum times exp(a tilt + b green) so that it lands on the target; Newton with a
    numerical slope.
    """
    shapes = np.stack([(NM - 560.0) / 100.0, np.exp(-0.5 * ((NM - 545.0) / 30.0) ** 2)])
    amount = np.zeros(2)

    def miss(at: FloatArray) -> FloatArray:
        return np.asarray(uv_1960(xyz(spectrum * np.exp(at @ shapes))) - target_uv)

    for _ in range(40):
        here = miss(amount)
        if np.max(np.abs(here)) < 1e-9:
            return np.asarray(spectrum * np.exp(amount @ shapes))
        slope = np.stack(
            [(miss(amount + step) - here) / 1e-5 for step in 1e-5 * np.eye(2)], axis=-1
        )
        amount = amount - np.clip(np.linalg.solve(slope, here), -1.0, 1.0)
    raise OutOfRange("cct_k", None, said("refusal.colour.no_white_light"))


def _led(cct_k: float) -> tuple[FloatArray, tuple[Said, ...], bool]:
    """The LED spectrum, what was assumed, and whether its temperature still has to be steered."""
    kinds = [scaled(on_grid("cie_led.csv", f"B{k}")) for k in range(1, 6)]
    have = [float(cct_duv(uv_1960(xyz(kind)))[0]) for kind in kinds]
    if not have[0] <= cct_k <= have[-1]:
        k = 0 if cct_k < have[0] else 4
        stands_in = said(
            "bounce.nearest_led",
            asked=Figure(cct_k, "K"),
            nearest=Name(f"LED-B{k + 1}"),
            at=Figure(have[k], "K"),
        )
        return kinds[k], (stands_in,), True
    k = max(index for index in range(4) if have[index] <= cct_k)
    low, high = 0.0, 1.0
    for _ in range(60):
        share = (low + high) / 2.0
        found = float(cct_duv(uv_1960(xyz((1.0 - share) * kinds[k] + share * kinds[k + 1])))[0])
        low, high = (share, high) if found < cct_k else (low, share)
    return (1.0 - share) * kinds[k] + share * kinds[k + 1], (), False


def _fluorescent(cct_k: float) -> tuple[FloatArray, tuple[Said, ...]]:
    """The CIE FL nearest in mired; among equals the three-band lamps of today's fixtures (FL10 to
    FL12) come first.
    """
    names = ("FL11", "FL10", "FL12", *(f"FL{k}" for k in range(1, 10)))
    kinds = [scaled(on_grid("cie_fluorescent.csv", name)) for name in names]
    away = [abs(1e6 / float(cct_duv(uv_1960(xyz(kind)))[0]) - 1e6 / cct_k) for kind in kinds]
    k = int(np.argmin(away))
    return kinds[k], (said("bounce.fluorescent", asked=Figure(cct_k, "K"), nearest=Name(names[k])),)
