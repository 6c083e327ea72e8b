"""Figures as a reader says them: rounded to what can be acted on in a line, exact elsewhere.

Specs (`{need:lead}`): `exact` and `rounded` whatever the reader's way; for lengths `lead` (the next
length sold), `walk` (whole metres or feet), `size` (as a tape reads it), `typed` (no digits that
were not given, or eighths of an inch); for numbers a count of decimals (`{share:1}`); `g` as it was
recorded; `signed` with its plus; `over` for stops over or, below 0, short; `bare` without its unit; `from` and `to` for ends of
a range alone.
"""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from babel.numbers import format_decimal

from scout.calc.power.run import LEADS_FT, LEADS_M
from scout.units import (
    METRES_PER_FOOT,
    METRES_PER_INCH,
    SQUARE_METRES_PER_SQUARE_FOOT,
    length_as_typed,
)
from scout.values import Figure, Unit
from scout.words.language import locale_of
from scout.words.reader import Reader

CUBIC_METRES_PER_CUBIC_FOOT = METRES_PER_FOOT**3
WALK_FROM_M = 10.0  # in feet a length from here on is a walk: inches would say more than is known
NO_BREAK = "\u00a0"
SIGNS: dict[Unit, str] = {
    "mm": "mm",
    "mm2": "mm²",
    "km": "km",
    "m/s": "m/s",
    "s": "s",
    "min": "min",
    "h": "h",
    "Hz": "Hz",
    "dB": "dB",
    "dBA": "dBA",
    "lux": "lux",
    "lm": "lm",
    "%": "%",
    "K": "K",
    "mired": "mired",
    "W": "W",
    "VA": "VA",
    "A": "A",
    "V": "V",
    "MB": "MB",
}
DECIMALS: dict[Unit, int] = {
    "MB": 1,
    "s": 2,
    "stops": 1,
    "delta_e": 1,
    "A": 1,
    "ratio": 1,
    "f": 1,
    "m/s": 1,
}
STEP: dict[Unit, float] = {"stops": 0.5, "K": 100.0, "W": 10.0, "mired": 5.0}  # in a line
DECIMALS_IN_A_LINE: dict[Unit, int] = {"s": 1, "A": 0}


def number(value: float, decimals: int, reader: Reader, *, signed: bool = False) -> str:
    """A number in the reader's language, halves rounded away from nought; never a minus before
    nothing.
    """
    exact = Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)
    if not exact:
        exact = abs(exact)
    pattern = "#,##0" + ("." + "0" * decimals if decimals else "")
    text = str(format_decimal(abs(exact), format=pattern, locale=locale_of(reader.language)))
    return ("−" if exact < 0 else "+" if signed and exact > 0 else "") + text


def figure(fig: Figure, spec: str, reader: Reader) -> str:
    """A figure with its unit, said once."""
    specs = spec.split(",") if spec else []
    rounded = "rounded" in specs or (reader.rounded and "exact" not in specs)
    if fig.low is not None and fig.high is not None and "best" not in specs:
        low, high = (
            _one(Figure(end, fig.unit), [*specs, "bare"], rounded, reader)
            for end in (fig.low, fig.high)
        )
        if low != high:
            last = _one(Figure(fig.high, fig.unit), specs, rounded, reader)
            return f"{low} to {last}" if reader.language == "en" else f"{low}–{last}"
    return _one(fig, specs, rounded, reader)


def _one(fig: Figure, specs: list[str], rounded: bool, reader: Reader) -> str:
    value, unit, bare = fig.value, fig.unit, "bare" in specs
    signed = "signed" in specs
    if unit in ("m", "m2", "m3"):
        return _spatial(value, unit, specs, rounded, reader)
    if "g" in specs:
        return f"{_trim(value)}{'°' if unit == 'deg' else NO_BREAK + SIGNS[unit] if unit else ''}"
    if unit == "min":
        return minutes(value, reader, to_five=rounded and "exact" not in specs)
    if unit == "shutter_s":
        return _shutter(value, reader)
    if unit == "f":
        return f"f/{_trim(value)}"
    if unit == "iso":
        return f"ISO {number(value, 0, reader)}".replace(",", "")
    if unit == "NC":
        return f"NC-{number(value, 0, reader)}"
    if unit == "deg":
        text = number(value, _decimals(specs, 0), reader, signed=signed)
        return text if bare else f"{text}°"
    decimals = _decimals(
        specs, (DECIMALS_IN_A_LINE if rounded else DECIMALS).get(unit, DECIMALS.get(unit, 0))
    )
    if unit == "" and specs in ([], ["typed"]):
        return _trim(value)
    if rounded and "exact" not in specs:
        if unit in ("lux", "lm"):
            value = significant(value, 2)
        elif unit in STEP and (unit != "W" or value > 100):
            value = STEP[unit] * math.floor(value / STEP[unit] + 0.5)
    if unit == "stops":
        over = "over" in specs
        text = _stops(abs(value) if over else value, decimals, bare, signed, reader)
        return f"{text} {'short' if value < 0 else 'over'}" if over else text
    text = number(value, decimals, reader, signed=signed)
    if unit == "ratio":
        return f"{_trim(round(value, decimals))}:1"
    sign = SIGNS.get(unit, "")
    return text if bare or not sign else f"{text}{NO_BREAK}{sign}" if unit != "%" else f"{text} %"


def _decimals(specs: list[str], usual: int) -> int:
    return next((int(one) for one in specs if one.isdecimal()), usual)


def _trim(value: float) -> str:
    shown = f"{value:.4g}" if abs(value) < 1000 else f"{value:.0f}"
    return "0" if shown == "-0" else shown.replace("-", "−", 1)


def significant(value: float, digits: int) -> float:
    """A value to so many significant digits."""
    if value == 0 or not math.isfinite(value):
        return value
    step = 10.0 ** (math.floor(math.log10(abs(value))) - digits + 1)
    return math.floor(value / step + 0.5) * step


def _stops(value: float, decimals: int, bare: bool, signed: bool, reader: Reader) -> str:
    value = float(f"{value:.{decimals}f}")
    halves = value * 2
    if abs(halves - round(halves)) < 1e-9:
        whole, half = divmod(abs(round(halves)), 2)
        minus = "−" if value < 0 else "+" if signed and value > 0 else ""
        text = f"{minus}{whole if whole or not half else ''}{'½' if half else ''}"
        one = (whole, half) in ((1, 0), (0, 1))
    else:
        text, one = number(value, decimals, reader, signed=signed), False
    return text if bare else f"{text} {'stop' if one else 'stops'}"


def _shutter(value: float, reader: Reader) -> str:
    if value <= 0 or value >= 0.3:
        return f"{number(value, 1, reader)} s"
    return f"1/{round(1 / value)} s"


def _spatial(value: float, unit: Unit, specs: list[str], rounded: bool, reader: Reader) -> str:
    bare = "bare" in specs
    if unit == "m2":
        if reader.units == "metric":
            text, sign = number(value, _decimals(specs, 1), reader), "m²"
        else:
            text, sign = number(value / SQUARE_METRES_PER_SQUARE_FOOT, 0, reader), "sq ft"
        return text if bare else f"{text}{NO_BREAK}{sign}"
    if unit == "m3":
        if reader.units == "metric":
            text, sign = number(value, _decimals(specs, 0), reader), "m³"
        else:
            text, sign = number(value / CUBIC_METRES_PER_CUBIC_FOOT, 0, reader), "cu ft"
        return text if bare else f"{text}{NO_BREAK}{sign}"
    if "lead" in specs:
        return lead(value, reader)
    if "typed" in specs and reader.units == "feet":
        return feet_and_inches(value, 8)
    if "typed" in specs:
        return length_as_typed(value) + ("" if bare else f"{NO_BREAK}m")
    if reader.units == "metric":
        if "walk" in specs:
            text = number(value, 0, reader)
        elif rounded and "size" not in specs:
            text = number(math.floor(value / 0.05 + 0.5) * 0.05, 2, reader)
            text = text[:-1] if text.endswith("0") else text
        else:
            text = number(value, _decimals(specs, 2), reader)
        return text if bare else f"{text}{NO_BREAK}m"
    if "walk" in specs or ("size" not in specs and abs(value) >= WALK_FROM_M):
        text = number(value / METRES_PER_FOOT, 0, reader)
        return text if bare else f"{text}{NO_BREAK}ft"
    return feet_and_inches(value, 1 if rounded and "size" not in specs else 2)


def feet_and_inches(value_m: float, parts: int) -> str:
    """Feet and inches to the nearest 1/parts inch: `12' 6 1/2"`."""
    count = math.floor(abs(value_m) / METRES_PER_INCH * parts + 0.5)
    feet, rest = divmod(count, 12 * parts)
    whole, part = divmod(Fraction(rest, parts), 1)
    inches = f"{whole}" if whole or not part else ""
    if part:
        inches += (" " if inches else "") + f"{part.numerator}/{part.denominator}"
    return f"{'−' if value_m < 0 and count else ''}{feet}' {inches}\""


def lead(need_m: float, reader: Reader) -> str:
    """The next length of a lead that is sold; beyond the longest, the length itself."""
    if reader.units == "metric":
        sold = next((one for one in LEADS_M if one >= need_m - 1e-9), None)
        return f"{sold if sold is not None else math.ceil(need_m)}{NO_BREAK}m"
    need_ft = need_m / METRES_PER_FOOT
    sold = next((one for one in LEADS_FT if one >= need_ft - 1e-9), None)
    return f"{sold if sold is not None else math.ceil(need_ft)}{NO_BREAK}ft"


def minutes(value: float, reader: Reader, *, to_five: bool = False) -> str:
    """A duration in hours and minutes."""
    whole = math.floor(value + 0.5)
    if to_five and whole >= 5:
        whole = 5 * math.floor(whole / 5 + 0.5)
    hours, rest = divmod(whole, 60)
    if not hours:
        return f"{rest}{NO_BREAK}min"
    return f"{hours}{NO_BREAK}h" + (f" {rest:02d}{NO_BREAK}min" if rest else "")
