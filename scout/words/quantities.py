"""Figures as a reader says them: rounded to what can be acted on in a line, exact elsewhere.

Specs (`{need:lead}`): `exact` and `rounded` whatever the reader's way; for lengths `lead` (the next
length sold), `walk` (whole metres or feet, from 2 km on kilometres or miles), `size` (as a tape reads it), `typed` (no digits that
were not given, or eighths of an inch), `cable` (the same, or whole feet); for numbers a count of decimals (`{share:1}`); `g` as it was
recorded; `signed` with its plus; `over` for stops over or, below 0, short, `than` for brighter or darker than; `bare` without its unit; `from` and `to` for ends of
a range alone; `felt` for a colour cast with a word for how much it is; `up` for what is packed or put on: never less
than is needed, to what can be acted on.
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
    length_as_typed,
)
from scout.values import Figure
from scout.words.catalogue import MESSAGES
from scout.words.language import locale_of, translated
from scout.words.reader import Reader

DRIVE_FROM_M, METRES_PER_MILE = 2000.0, 1609.344  # a walk so far is driven
WALK_FROM_M = 10.0  # in feet a length from here on is a walk: inches would say more than is known
DECIMALS: dict[str, int] = {
    "m2": 1,
    "MB": 1,
    "s": 2,
    "stops": 1,
    "delta_e": 1,
    "A": 1,
    "ratio": 1,
    "f": 1,
    "m/s": 1,
}
STEP: dict[str, float] = {"stops": 0.5, "K": 100.0, "W": 10.0, "mired": 5.0}  # in a line
DECIMALS_IN_A_LINE: dict[str, int] = {"s": 1, "A": 0}
# of stops: below, at and above what they are told against
SIDES = {"over": ("short", "neither", "over"), "than": ("darker", "alike", "brighter")}
NOUGHT = 1e-6  # stops: less is nothing, not a little
IN_FEET: dict[str, tuple[str, float]] = {
    "m2": ("ft2", METRES_PER_FOOT**2),
    "m3": ("ft3", METRES_PER_FOOT**3),
}


# CIEDE2000 of two halves seen side by side (common practice): from there on it is called so
CASTS: tuple[tuple[float, str], ...] = (
    (10.0, "cast.strong"),
    (5.0, "cast.plain"),
    (2.0, "cast.slight"),
    (1.0, "cast.just"),
    (0.0, "cast.unseen"),
)


def _felt(delta_e: float) -> str:
    return next((word for least, word in CASTS if delta_e >= least), "cast.unseen")


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
    if "felt" in specs:
        specs.remove("felt")
        ends = (
            (fig.value,)
            if "best" in specs or fig.low is None or fig.high is None
            else (fig.low, fig.high)
        )
        words = list(dict.fromkeys(translated(_felt(one), reader) for one in ends))
        felt = words[0] if len(words) == 1 else _put("range", words[0], reader, high=words[1])
        said = figure(fig, ",".join(specs), reader)
        return translated("cast.felt", reader).replace("{cast}", said).replace("{felt}", felt)
    rounded = "exact" not in specs and ("rounded" in specs or reader.rounded)
    if fig.low is not None and fig.high is not None and "best" not in specs:
        low, high = (
            _one(Figure(end, fig.unit), [*specs, "bare"], rounded, reader)
            for end in (fig.low, fig.high)
        )
        if low != high:
            last = _one(Figure(fig.high, fig.unit), specs, rounded, reader)
            return _put("range", low, reader, high=last)
    return _one(fig, specs, rounded, reader)


def _no_less(value: float, unit: str, reader: Reader) -> float:
    """A stops, length or area raised to the next half stop, five centimetres or tenth of a square
    metre; to the next inch (foot, of a length told in feet) or square foot.
    """
    inches = METRES_PER_FOOT if value >= WALK_FROM_M else METRES_PER_INCH
    steps = {"stops": (0.5, 0.5), "m": (0.05, inches), "m2": (0.1, METRES_PER_FOOT**2)}
    step = steps.get(unit, (0.0, 0.0))[reader.units == "feet"]
    return math.ceil(value / step - 1e-6) * step if step else value


def _put(unit: str, n: str, reader: Reader, count: float | None = None, **others: str) -> str:
    """A written number in the template of its unit; a unit without one is left unsaid."""
    code = f"unit.{unit}"
    text = translated(code, reader, count) if code in MESSAGES else "{n}"
    for name, other in others.items():
        text = text.replace(f"{{{name}}}", other)
    return text.replace("{n}", n)


def _one(fig: Figure, specs: list[str], rounded: bool, reader: Reader) -> str:
    value, bare, signed = fig.value, "bare" in specs, "signed" in specs
    unit: str = fig.unit
    if "up" in specs:
        value, rounded = _no_less(value, unit, reader), True
    if asked := SIDES.keys() & set(specs):
        below, neither, above = SIDES[asked.pop()]
        if abs(value) <= NOUGHT if rounded else not round(abs(value), DECIMALS["stops"]):
            return _put(neither, "", reader)  # what is written as nought is not short
        amount = _one(Figure(abs(value), fig.unit), ["bare"] if bare else [], rounded, reader)
        return _put(below if value < 0 else above, amount, reader)
    if unit == "m":
        return _length(value, specs, rounded, reader)
    if unit in IN_FEET and reader.units == "feet":
        unit, size = IN_FEET[unit]
        value, specs = value / size, []
    if unit == "min" and "g" not in specs:
        return minutes(value, reader, to_five=rounded)
    decimals = _decimals(
        specs, (DECIMALS_IN_A_LINE if rounded else DECIMALS).get(unit, DECIMALS.get(unit, 0))
    )
    if unit == "shutter_s":
        if 0 < value < 0.3:
            return _put(unit, str(round(1 / value)), reader)
        unit, decimals = "s", 1
    count = None
    if "g" in specs or unit == "f" or (unit == "" and specs in ([], ["typed"])):
        text, count = _trim(value, reader), abs(value)
    elif unit == "iso":
        text = _trim(math.floor(value + 0.5), reader)
    elif unit == "ratio":
        text, bare = _trim(round(value, decimals), reader), False
    elif unit == "stops":
        if rounded:
            halves = math.floor(value * 2 + 0.5) / 2
            if not halves and abs(value) > NOUGHT and not bare:
                return _put("under_half", "", reader)
            value = halves
        text, count = _stops(value, decimals, signed, reader)
    else:
        if rounded and unit in ("lux", "lm"):
            value = significant(value, 2)
        elif rounded and unit in STEP and (unit != "W" or value > 100):
            value = STEP[unit] * math.floor(value / STEP[unit] + 0.5)
        text = number(value, decimals, reader, signed=signed)
    return text if bare and unit not in ("f", "iso", "NC") else _put(unit, text, reader, count)


def _decimals(specs: list[str], usual: int) -> int:
    return next((int(one) for one in specs if one.isdecimal()), usual)


def _trim(value: float, reader: Reader) -> str:
    """To four digits, or to the unit, without noughts at the end."""
    shown = Decimal(f"{value:.4g}" if abs(value) < 1000 else f"{value:.0f}")
    text = format_decimal(abs(shown), format="0.#########", locale=locale_of(reader.language))
    return ("−" if shown < 0 else "") + str(text)


def significant(value: float, digits: int) -> float:
    """A value to so many significant digits."""
    if value == 0 or not math.isfinite(value):
        return value
    step = 10.0 ** (math.floor(math.log10(abs(value))) - digits + 1)
    return math.floor(value / step + 0.5) * step


def _stops(value: float, decimals: int, signed: bool, reader: Reader) -> tuple[str, float | None]:
    """The number, with a half as ½, and what its plural goes by: a half is one."""
    value = float(f"{value:.{decimals}f}")
    whole, half = divmod(abs(value) * 2, 2)
    if half % 1 > 1e-9:
        return number(value, decimals, reader, signed=signed), None
    minus = "−" if value < 0 else "+" if signed and value > 0 else ""
    digits = number(whole, 0, reader) if whole or not half else ""
    return f"{minus}{digits}{'½' if half else ''}", 1 if abs(value) == 0.5 else abs(value)


def _length(value: float, specs: list[str], rounded: bool, reader: Reader) -> str:
    if "lead" in specs:
        return lead(value, reader)
    if "walk" in specs and abs(value) >= DRIVE_FROM_M:
        unit, size = ("mi", METRES_PER_MILE) if reader.units == "feet" else ("km", 1000.0)
        text = number(value / size, 1 if abs(value) < 100_000 else 0, reader)
        return text if "bare" in specs else _put(unit, text, reader)
    if reader.units == "feet":
        if "typed" in specs:
            return feet_and_inches(value, 8, reader)
        whole = "walk" in specs or "cable" in specs
        if "size" in specs or (not whole and abs(value) < WALK_FROM_M):
            return feet_and_inches(value, 1 if rounded and "size" not in specs else 2, reader)
        unit, text = "ft", number(value / METRES_PER_FOOT, 0, reader)
    else:
        unit = "m"
        if "typed" in specs or "cable" in specs:
            text = length_as_typed(value)
        elif "walk" in specs:
            text = number(value, 0, reader)
        elif rounded and "size" not in specs:
            text = number(math.floor(value / 0.05 + 0.5) * 0.05, 2, reader)
            text = text[:-1] if text.endswith("0") else text
        else:
            text = number(value, _decimals(specs, 2), reader)
    return text if "bare" in specs else _put(unit, text, reader)


def feet_and_inches(value_m: float, parts: int, reader: Reader) -> str:
    """Feet and inches to the nearest 1/parts inch: `12' 6 1/2"`; under a foot inches alone."""
    count = math.floor(abs(value_m) / METRES_PER_INCH * parts + 0.5)
    feet, rest = divmod(count, 12 * parts)
    whole, part = divmod(Fraction(rest, parts), 1)
    inches = " ".join(map(str, [whole] * bool(whole or not part) + [part] * bool(part)))
    minus = "−" if value_m < 0 and count else ""
    if not feet:
        return _put("inches", minus + inches, reader)
    return _put("feet", f"{minus}{feet}", reader, inches=inches)


def lead(need_m: float, reader: Reader) -> str:
    """The next length of a lead that is sold; beyond the longest, the length itself."""
    unit, lengths, need = (
        ("m", LEADS_M, need_m)
        if reader.units == "metric"
        else ("ft", LEADS_FT, need_m / METRES_PER_FOOT)
    )
    sold = next((one for one in lengths if one >= need - 1e-9), math.ceil(need))
    return _put(unit, str(sold), reader)


def minutes(value: float, reader: Reader, *, to_five: bool = False) -> str:
    """A duration in hours and minutes."""
    whole = math.floor(value + 0.5)
    if to_five and whole >= 5:
        whole = 5 * math.floor(whole / 5 + 0.5)
    hours, rest = divmod(whole, 60)
    if not hours or not rest:
        return _put("h" if hours else "min", str(hours or rest), reader)
    return _put("hours", str(hours), reader, minutes=f"{rest:02d}")
