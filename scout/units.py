"""Text to SI and back: lengths in metres or feet and inches, plain numbers, temperatures of nothing
else.

People type what their tape says: `3.8`, `3,8 m`, `380 cm`, `3m80`, `12' 6"`, `12ft 6 1/2in`,
    `78 in`. What cannot be read
without guessing (`1.234,5`, `1_000`, `nan`, `12' 14"`, `3m8`) is refused with what would do, and a
number without a unit that no room has in metres (`540`) is asked about. A phone reads the same by
`web/static/typed.js`; one table of tests holds both together.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Literal

from scout.errors import Refused
from scout.values import Name, Said, said

Units = Literal["metric", "feet"]
METRES_PER_INCH = 0.0254  # exact since the international yard and pound agreement of 1959
METRES_PER_FOOT = 0.3048
# As decided: longer than this without a unit is more likely centimetres. Halls are longer, and cost
# a tap.
ROOMY_M = 30.0
# A field that takes more than this measures ground, not a room: there 540 is 540 m.
FAR_M = 10_000.0
MOST_M = 1000.0  # what a length may be where its field says nothing else

_MARKS = str.maketrans(
    {
        "’": "'",
        "‘": "'",
        "′": "'",
        "`": "'",
        "´": "'",
        "”": '"',
        "“": '"',
        "″": '"',
        "−": "-",
        "–": "-",
        "⁄": "/",
        "\u00a0": " ",
        "\u202f": " ",
        "½": " 1/2",
        "¼": " 1/4",
        "¾": " 3/4",
        "⅛": " 1/8",
        "⅜": " 3/8",
        "⅝": " 5/8",
        "⅞": " 7/8",
    }
)
_NUMBER = r"\d+(?:[.,]\d+)?|[.,]\d+"
_METRIC = re.compile(
    rf"(?P<sign>[+-]?)\s*(?P<n>{_NUMBER})\s*(?P<u>m|metres?|meters?|cm|mm|km)?", re.IGNORECASE
)
_MIXED = re.compile(
    r"(?P<sign>[+-]?)\s*(?P<m>\d+)\s*m\s*(?:(?P<c>\d\d)\s*(?:cm)?|(?P<d>\d)\s*cm)",
    re.IGNORECASE,
)
_INCH = rf"(?:(?P<i>{_NUMBER})(?:(?:\s+|-)(?P<in>\d+)/(?P<id>\d+))?|(?P<jn>\d+)/(?P<jd>\d+))"
_FEET = re.compile(
    rf"(?P<sign>[+-]?)\s*(?P<f>{_NUMBER})\s*(?:'|ft\.?|foot|feet)\s*(?:-|,|and)?\s*(?:{_INCH}\s*(?:\"|''|in\.?|inch(?:es)?)?)?",
    re.IGNORECASE,
)
_INCHES = re.compile(rf"(?P<sign>[+-]?)\s*{_INCH}\s*(?:\"|''|in\.?|inch(?:es)?)", re.IGNORECASE)
_SCALE = {"": 1.0, "m": 1.0, "cm": 0.01, "mm": 0.001, "km": 1000.0}
_PLAIN = re.compile(rf"[+-]?(?:{_NUMBER})(?:[eE][+-]?\d{{1,3}})?")


def parse_number(text: str, *, name: str = "number", accepted: Said | str | None = None) -> float:
    """A plain number from what was typed; comma or point for the decimals, no grouping, nothing
    that is not finite.

    Raises Refused naming the field: for `nan`, `inf`, `1_000` (which float() would take),
        `1.234,5` and words.
    """
    tidy = text.strip().translate(_MARKS).strip()
    if not _PLAIN.fullmatch(tidy):
        raise Refused(name, text, said("typed.no_number", accepted=_accepted(accepted)))
    value = float(tidy.replace(",", "."))
    if not math.isfinite(value):
        raise Refused(name, text, said("typed.too_large", accepted=_accepted(accepted)))
    return value


def _accepted(accepted: Said | str | None) -> Said | Name:
    if accepted is None:
        return said("typed.number")
    return accepted if isinstance(accepted, Said) else Name(accepted)


def parse_length_m(text: str, *, name: str = "length") -> float:
    """Metres from what was typed, metric or feet and inches; a bare number is metres.

    Raises Refused naming the field and the accepted forms, also for 12 inches or more beside feet
    and for a fraction over nothing.
    """
    tidy = " ".join(text.strip().translate(_MARKS).split())
    if match := _MIXED.fullmatch(tidy):
        return _sign(match) * (int(match["m"]) + int(match["c"] or match["d"]) / 100.0)
    if match := _METRIC.fullmatch(tidy):
        unit = (match["u"] or "").lower()
        unit = "m" if unit.startswith(("metre", "meter")) else unit
        return _sign(match) * _finite(_decimal(match["n"]) * _SCALE[unit], name, text)
    if match := _FEET.fullmatch(tidy):
        inches = _inches(match, name, text)
        if inches >= 12:
            raise Refused(name, text, said("typed.inches_over"))
        if inches and "." in match["f"].replace(",", "."):
            raise Refused(name, text, said("typed.part_of_a_foot"))
        return _sign(match) * _finite(
            (_decimal(match["f"]) * 12.0 + inches) * METRES_PER_INCH, name, text
        )
    if match := _INCHES.fullmatch(tidy):
        return _sign(match) * _finite(_inches(match, name, text) * METRES_PER_INCH, name, text)
    raise Refused(name, text, said("typed.no_length"))


_BARE = re.compile(rf"[+-]?\s*(?P<n>{_NUMBER})")


def could_be(text: str, units: Units = "metric", most_m: float = MOST_M) -> tuple[str, ...]:
    """What a number without a unit may be, likeliest first, each as it would have to be typed;
    nothing where it is read as it stands. Among metres that is asked of whatever no room has and
    whose hundredth or thousandth one may have, unless its decimals are those of a laser (37.73);
    among feet of every number but 0.
    """
    tidy = " ".join(text.strip().translate(_MARKS).split())
    match = _BARE.fullmatch(tidy)
    if match is None:
        return ()
    sign, number = "-" if tidy.startswith("-") else "", _decimal(match["n"])
    if units == "feet":
        feet, inches = number * METRES_PER_FOOT, number * METRES_PER_INCH
        whole, rest = divmod(number, 12)
        read = [(feet, f"{number:.10g}'"), (inches, f"{whole:.10g}' {rest:.10g}\"")]
        read = [(m, said_so) for m, said_so in read if number and m <= most_m]
        likely = sorted(read, key=lambda one: one[0] > min(ROOMY_M, most_m))
        return tuple(sign + said_so for _, said_so in likely)
    most = min(ROOMY_M, most_m)
    to_the_centimetre = len(re.split("[.,]", match["n"])[-1]) > 1 and not match["n"].isdigit()
    if number <= most or most_m > FAR_M or (to_the_centimetre and number <= most_m):
        return ()
    parts = [number / 100, number / 1000]
    parts = [m for m in (reversed(parts) if number >= 1000 else parts) if 0.05 <= m <= most]
    if parts and number <= most_m:
        parts.append(number)
    return tuple(f"{sign}{m:.4f}".rstrip("0").rstrip(".") + " m" for m in parts)


_ANGLE = (
    rf"(?P<a{{0}}>[NSEW])?\s*(?P<g{{0}}>[+-])?\s*(?P<d{{0}}>{_NUMBER})\s*°?\s*"
    rf"(?:(?P<m{{0}}>{_NUMBER})\s*'\s*(?:(?P<s{{0}}>{_NUMBER})\s*\"\s*)?)?(?(a{{0}})|(?P<b{{0}}>[NSEW])?)"
)
_ONE_ANGLE = re.compile(_ANGLE.format(1), re.IGNORECASE)
_TWO_ANGLES = re.compile(
    rf"\(?\s*{_ANGLE.format(1)}(?P<between>\s*[,;/\s]\s*){_ANGLE.format(2)}\s*\)?", re.IGNORECASE
)


def parse_position(text: str) -> tuple[float, float] | None:
    """Latitude and longitude in degrees from a pair that was pasted whole, decimal or with minutes
    and seconds; None for what is no pair (a single angle is none). Whether they lie on the earth is
    for whoever keeps them to say.
    """
    tidy = _tidy_angles(text)
    match = None if _ONE_ANGLE.fullmatch(tidy) else _TWO_ANGLES.fullmatch(tidy)
    if match is None or tidy.replace(" ", "").isdigit():  # degrees and minutes, perhaps
        return None
    bare = match["between"] == "," and not any(match[part] for part in ("g2", "b1", "a2", "b2"))
    if bare and not ("." in match["d1"] and "." in match["d2"]):
        return None  # one number grouped by thousands, perhaps
    first, second = _angle(match, 1), _angle(match, 2)
    if first is None or second is None:
        return None
    axes = (
        first[1] or (second[1] and _OTHER[second[1]]),
        second[1] or (first[1] and _OTHER[first[1]]),
    )
    if axes not in ((None, None), ("lat", "lon"), ("lon", "lat")):
        return None
    return (second[0], first[0]) if axes[0] == "lon" else (first[0], second[0])


def parse_degrees(text: str, *, name: str) -> float:
    """Degrees of latitude or longitude, decimal or with minutes and seconds and a letter. Raises
    Refused naming the field.
    """
    tidy = _tidy_angles(text)
    if _PLAIN.fullmatch(bare := tidy.removesuffix("°").rstrip()):
        return parse_number(bare, name=name)
    match = _ONE_ANGLE.fullmatch(tidy)
    found = None if match is None else _angle(match, 1)
    axis = "lon" if "lon" in name else "lat"
    if found is None or found[1] not in (None, axis):
        raise Refused(name, text, said("typed.no_degrees"))
    return found[0]


_WINDS = [
    "N",
    "NNE",
    "NE",
    "ENE",
    "E",
    "ESE",
    "SE",
    "SSE",
    "S",
    "SSW",
    "SW",
    "WSW",
    "W",
    "WNW",
    "NW",
    "NNW",
]


def parse_bearing(text: str, *, name: str) -> tuple[float, float | None]:
    """A bearing in degrees, or one of the compass's words (S, north-east, due west, NNW), and the
    doubt of a word in degrees: half of the eighth, or sixteenth, of the circle that it may stand
    for. Raises Refused naming the field.
    """
    tidy = re.sub(r"\s*(?:°|deg(?:rees?)?)$", "", _tidy_angles(text).lower())
    if _PLAIN.fullmatch(tidy):
        return parse_number(tidy, name=name), None
    letters = re.sub("north|east|south|west", lambda word: word[0][0], tidy.removeprefix("due "))
    letters = re.sub(r"[\s-]", "", letters).upper()
    if letters not in _WINDS:
        raise Refused(name, text, said("typed.no_bearing"))
    at = _WINDS.index(letters)
    return 22.5 * at, 11.25 if at % 2 else 22.5


_OTHER = {"lat": "lon", "lon": "lat"}
_AXES = {"N": "lat", "S": "lat", "E": "lon", "W": "lon"}


def _tidy_angles(text: str) -> str:
    marked = text.strip().translate(_MARKS).replace("''", '"').replace("º", "°").replace("˚", "°")
    return " ".join(marked.split())


def _angle(match: re.Match[str], number: int) -> tuple[float, str | None] | None:
    """The degrees of one angle and its axis where a letter names it; None for what cannot be."""
    before, sign, degrees, minutes, seconds, after = (
        match[f"{part}{number}"] for part in ("a", "g", "d", "m", "s", "b")
    )
    letter = (before or after or "").upper()
    parts = [_decimal(one or "0") for one in (degrees, minutes, seconds)]
    if (letter and sign) or max(parts[1:]) >= 60:
        return None
    if minutes and not parts[0].is_integer():
        return None
    value = round(parts[0] + parts[1] / 60 + parts[2] / 3600, 9)
    return (-value if sign == "-" or letter in ("S", "W") else value), _AXES.get(letter)


def _decimal(digits: str) -> float:
    return float(digits.replace(",", "."))


def _sign(match: re.Match[str]) -> float:
    return -1.0 if match["sign"] == "-" else 1.0


def _finite(value: float, name: str, text: str) -> float:
    if not math.isfinite(value):
        raise Refused(name, text, said("typed.length_too_large"))
    return value


def _inches(match: re.Match[str], name: str, text: str) -> float:
    whole = _decimal(match["i"]) if match["i"] else 0.0
    over, under = (match["in"], match["id"]) if match["in"] else (match["jn"], match["jd"])
    if over is None:
        return whole
    if int(under) == 0 or int(over) >= int(under):
        raise Refused(name, text, said("typed.fraction"))
    return whole + int(over) / int(under)


def length_as_typed(length_m: float, units: Units = "metric") -> str:
    """A length for a form field, so that parsing it gives the same length to 0.1 mm in either
    system.
    """
    if units == "metric":
        return f"{length_m:.4f}".rstrip("0").rstrip(".")
    sixty_fourths = round(abs(length_m) / METRES_PER_INCH * 64)
    if abs(sixty_fourths / 64 * METRES_PER_INCH - abs(length_m)) > 1e-4:
        return f"{length_m:.4f}".rstrip("0").rstrip(".") + " m"
    feet, rest = divmod(sixty_fourths, 12 * 64)
    part = Fraction(rest, 64)
    whole, fraction = divmod(part, 1)
    inches = f"{int(whole)}" + (f" {fraction.numerator}/{fraction.denominator}" if fraction else "")
    return f"{'-' if length_m < 0 else ''}{feet}' {inches}\""


def with_unit(bare: str, units: Units = "metric") -> str:
    """Metres as a number, with their unit where they would be asked about without it."""
    return f"{bare} m" if units == "feet" or could_be(bare) else bare
