"""What a room must give, typed in one line: `5 m clear depth, north light, under 30 dBA, 3 kW, within
20 km of Norwich`. Each part that is understood fills the field it means; the rest is words to look
for, and nothing is dropped but what only joins.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import get_args

from scout.errors import Refused
from scout.records.base import CURRENCY
from scout.records.kept import CompassPoint
from scout.units import Units, parse_number
from scout.values import said
from scout.web.forms.fields import read_length_m

_NUMBER = r"\d+(?:[.,]\d+)?"
_INCHES = rf"{_NUMBER}(?:\s+\d+/\d+)?\s*(?:\"|”|″|in(?:ch(?:es)?)?\b\.?)?"
_LENGTH = (
    rf"(?:{_NUMBER}\s*(?:(?:'|’|′)|(?:ft|foot|feet)\b\.?)(?:\s*{_INCHES})?"
    rf"|{_NUMBER}\s*(?:m|cm|metres?|meters?)\b)"
)
_AT_LEAST = r"at least|no less than|min(?:imum)?(?: of)?|over|above|more than|from|>=?|≥"
_AT_MOST = r"at most|no more than|max(?:imum)?(?: of)?|under|below|less than|up to|within|<=?|≤"
_BOUND = rf"(?:(?P<bound>{_AT_LEAST}|{_AT_MOST})\s*)?"
_POINT = r"(?:north|south)(?:[- ]?(?:east|west))?|east|west"
_SHORT = {"n": "north", "ne": "north_east", "e": "east", "se": "south_east"} | {
    "s": "south",
    "sw": "south_west",
    "w": "west",
    "nw": "north_west",
}
# a currency as forms take it, or one of the signs that stand for one alone
_CODE = r"(?:(?-i:[A-Z]{3})|eur|gbp|usd)\b"
_MONEY = rf"{_CODE}\s?{_NUMBER}|{_NUMBER}\s?{_CODE}|[£€]\s?{_NUMBER}|{_NUMBER}\s?[£€]"
SIGNS = {"£": "GBP", "€": "EUR"}
QUIET_DBA = 35  # what an interview is asked to be at most, see `records/presets.py`
_COUNTS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_CUT = "\x1f"  # where something understood stood
_AT = rf"[-−]?{_NUMBER}\s*,\s*[-−]?{_NUMBER}"

# field, whether more or less of it is asked for, and how it is typed; in this order
_RULES: tuple[tuple[str, str, str], ...] = (
    (
        "floor",
        _AT_LEAST,
        rf"{_BOUND}(?P<value>(?:{_LENGTH}|{_NUMBER})\s*(?:x|×|by)\s*{_LENGTH})"
        r"(?:\s*(?:of\s+)?(?:(?:clear|free)\s+)?floor)?",
    ),
    (
        "depth",
        _AT_LEAST,
        rf"{_BOUND}(?P<value>{_LENGTH})\s*(?:of\s+)?"
        r"(?:(?:(?:clear|free)\s+)?(?:depth|deep|lane|throw)\b|clear\b(?!\s+(?:floor|height)))",
    ),
    (
        "depth",
        _AT_LEAST,
        rf"(?:(?:clear|free)\s+)?depth\s*(?:of\s+|:\s*)?{_BOUND}(?P<value>{_LENGTH})",
    ),
    (
        "height",
        _AT_LEAST,
        rf"{_BOUND}(?P<value>{_LENGTH})\s*(?:of\s+)?(?:clear\s+)?"
        r"(?:ceilings?(?:\s+height)?|headroom|high|tall|height)\b",
    ),
    (
        "height",
        _AT_LEAST,
        rf"(?:ceilings?(?:\s+height)?|headroom|height)\s*(?:of\s+|:\s*)?{_BOUND}(?P<value>{_LENGTH})",
    ),
    (
        "noise",
        _AT_MOST,
        rf"(?:(?:noise|room\s+tone|laeq)\s*(?:of\s+|:\s*)?)?{_BOUND}(?P<value>{_NUMBER})\s*"
        r"db\s*(?:\(a\)|a)?(?!\w)(?:\s*(?:of\s+)?noise\b)?",
    ),
    ("noise", "", r"\b(?P<value>quiet)\b"),
    (
        "lux",
        _AT_LEAST,
        rf"(?:daylight\s*(?:of\s+|:\s*)?)?{_BOUND}(?P<value>{_NUMBER})\s*(?:lux|lx)\b(?:\s*(?:of\s+)?daylight\b)?",
    ),
    (
        "fee",
        _AT_MOST,
        rf"(?:fee\s*(?:of\s+|:\s*)?)?{_BOUND}(?P<value>(?:{_MONEY}))(?:\s*(?:fee\b|a\s+day\b))?",
    ),
    (
        "watts",
        _AT_LEAST,
        rf"(?:(?:power|mains)\s*(?:of\s+|:\s*)?)?{_BOUND}(?P<value>{_NUMBER})\s*(?P<unit>kw|kilowatts?|w|watts?)\b"
        r"(?:\s*(?:of\s+)?(?:power|mains|electricity)\b)?",
    ),
    (
        "sockets",
        _AT_LEAST,
        rf"{_BOUND}(?P<value>\d+|{'|'.join(_COUNTS)})\s+(?:wall\s+)?(?:sockets?|outlets?)\b",
    ),
    (
        "facing",
        "",
        rf"\b(?P<value>{_POINT})(?:[- ]*(?:facing|light|lit|aspect)(?:\s+(?:windows?|light))?"
        r"|[- ]+windows?)\b",
    ),
    (
        "facing",
        "",
        rf"\b(?:(?:a\s+)?windows?\s+)?(?:that\s+)?(?:facing|faces?|looks?(?:ing)?)\s+(?P<value>{_POINT})\b",
    ),
    ("facing", "", r"\b(?P<value>[ns][ew]?|[ew])[- ]facing(?:\s+windows?)?\b"),
    ("step_free", "", r"(?P<value>\b(?:step[- ]free|no steps)\b)(?:\s+(?:access|way in))?"),
    ("setting", "", r"\b(?P<value>indoors?|interior|outdoors?|exterior)\b"),
    (
        "within_km",
        _AT_MOST,
        rf"{_BOUND}(?P<value>{_NUMBER})\s*(?P<unit>km|kilomet(?:re|er)s?|mi|miles?)\b(?:\s*(?:of|from|around)"
        rf"\s+(?P<near>{_AT}|[^,;\n{_CUT}]+?(?=\s+with\b|[,;\n{_CUT}]|$)))?",
    ),
)
_PATTERNS = tuple(
    (field, wanted, re.compile(pattern, re.IGNORECASE)) for field, wanted, pattern in _RULES
)
_THOUSANDS = re.compile(r"\d{1,3}[.,]\d{3}")  # 3,000: three, or three thousand? not to be guessed
_JOINS = re.compile(r"(?:and|with|a|an|the|for|that|has|room|rooms|in|near)\b", re.IGNORECASE)
KM_A_MILE = 1.609344


@dataclass(frozen=True)
class Understood:
    """What a line came to. `fields`: by the field's name, as it would be typed there; `words`: what
    is left to look for.
    """

    fields: Mapping[str, str]
    words: str


def understood(line: str) -> Understood:
    """What is meant by a line, part by part. A bound that no field has (over 30 dBA), and a second
    figure for the same field, stay among the words.
    """
    fields: dict[str, str] = {}
    rest = line
    for field, wanted, pattern in _PATTERNS:

        def taken(match: re.Match[str], field: str = field, wanted: str = wanted) -> str:
            parts = match.groupdict()
            bound, value = parts.get("bound"), parts["value"]
            if field in fields or (bound and not re.fullmatch(wanted, bound, re.IGNORECASE)):
                return match[0]
            if _THOUSANDS.fullmatch(value):
                return match[0]
            fields[field] = _as_field(field, value, parts.get("unit"))
            near = _trimmed(parts.get("near") or "")
            if near:
                fields["near"] = near
            return _CUT

        rest = pattern.sub(taken, rest)
    pieces = [_trimmed(piece) for piece in re.split(rf"(?<!\d),|,(?!\d)|[;\n{_CUT}]", rest)]
    return Understood(fields, ", ".join(piece for piece in pieces if piece))


def unmet_figures(words: str) -> tuple[str, ...]:
    """Of words to look for, the parts with a figure: most likely meant as a need."""
    return tuple(
        part for piece in re.split(r",\s+", words) if re.search(r"\d", part := piece.strip())
    )


def read_floor_m(text: str, units: Units, name: str) -> tuple[float, float]:
    """Both sides of a floor typed as `4 x 5 m`; the unit may stand at the last alone. Raises
    Refused.
    """
    sides = [side.strip() for side in re.split(r"\s*(?:x|×|\bby\b)\s*", text.strip())]
    if len(sides) != 2:
        raise Refused(name, text, said("refused.two_sides"))
    if re.fullmatch(_NUMBER, sides[0]):
        sides[0] += re.sub(rf"^{_NUMBER}", "", sides[1])
    width_m, length_m = (read_length_m(side, units, name) for side in sides)
    return width_m, length_m


def read_fee(text: str) -> tuple[float, str]:
    """An amount and its currency, typed as `300 EUR` or `£300`. Raises Refused."""
    figure = re.search(_NUMBER, text)
    word = re.sub(rf"{_NUMBER}|\s", "", text)
    currency = SIGNS.get(word, word.upper())
    if figure is None or not re.fullmatch(CURRENCY, currency):
        raise Refused("fee", text, said("refused.fee"))
    return parse_number(figure[0], name="fee"), currency


def read_point(text: str) -> str:
    """A point of the compass by its key; empty where it is none."""
    key = re.sub(r"[-\s]+", "_", text.strip().lower())
    key = _SHORT.get(key, re.sub(r"^(north|south)(east|west)$", r"\1_\2", key))
    return key if key in get_args(CompassPoint) else ""


def _as_field(field: str, value: str, unit: str | None) -> str:
    if field == "facing":
        return read_point(value)
    if field == "noise" and value.lower() == "quiet":
        return str(QUIET_DBA)
    if field == "setting":
        return "interior" if value.lower().startswith("in") else "exterior"
    if field == "step_free":
        return "yes"
    if field == "sockets" and value.lower() in _COUNTS:
        return str(_COUNTS.index(value.lower()) + 1)
    scale = {"k": 1000.0} if field == "watts" else {"m": KM_A_MILE} if field == "within_km" else {}
    factor = scale.get((unit or " ")[0].lower())
    if factor is None:
        return " ".join(value.split())
    return f"{parse_number(value) * factor:.6g}"


def _trimmed(piece: str) -> str:
    """A piece without what only joins it to others, at its ends."""
    piece = piece.strip(" .:-\t")
    while match := _JOINS.match(piece):
        piece = piece[match.end() :].strip(" .:-\t")
    piece = re.sub(rf"\s{_JOINS.pattern}$", "", piece, flags=re.IGNORECASE)
    return " ".join(re.sub(r"\s(?:and|with)\s", " ", piece, flags=re.IGNORECASE).split())
