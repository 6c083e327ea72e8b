"""Each way of recording a colour keeps its own doubt, which the verdict carries."""

from __future__ import annotations

from typing import Any

import pytest

from scout.assess.bounce.bounce import bounce
from scout.assess.bounce.doubt import doubted
from scout.assess.bounce.surround import surround
from scout.assess.recorded import PHOTO_BARE, PHOTO_CARD, PHOTO_CARD_LAMPS, Trust, trust_of
from scout.calc.bounce.named import NAMED
from scout.calc.bounce.shift import RISKS
from scout.records.sheet import RoomSheet
from tests.assess.bounce.codes import codes
from tests.assess.bounce.test_bounce import GREY_ROOM, at, flat, off, sheet, spectrum
from tests.calc.bounce.charts import GREEN

CODE: dict[str, Any] = {"colour": {"srgb": "#9cb08d"}}


def taken(surface: dict[str, Any], how: str | None = None) -> RoomSheet:
    """A grey room whose wall B is of some colour, taken in some way."""
    others = {
        name: {
            "colour": {
                "spectrum": {
                    "first_nm": 380,
                    "step_nm": 70,
                    "values": [row["light_reflectance"]] * 6,
                }
            }
        }
        for name, row in GREY_ROOM.items()
    }
    given = sheet({**others, "B": surface})
    if how is None:
        return given
    return given.model_copy(
        update={
            "extra": {
                "measurements": [
                    {"path": "surfaces.B.colour", "how": "tape"},
                    {"path": "surfaces.B.colour", "how": how},
                ]
            }
        }
    )


def trust(surface: dict[str, Any], how: str | None = None) -> Trust:
    return trust_of(taken(surface, how), "B")


def test_the_surer_the_way_the_smaller_the_doubt() -> None:
    # common practice: spectrum, reader, card by daylight, card under lamps, no card, a name, in
    # this order
    ways = [
        trust(spectrum(GREEN)),
        trust({"colour": {"lab": [70, -10, 15], "illuminant": "D50"}}),
        trust(CODE, PHOTO_CARD),
        trust(CODE, PHOTO_CARD_LAMPS),
        trust(CODE, PHOTO_BARE),
        trust({"colour": {"srgb": NAMED["sage"]}}),
    ]
    levels, tints = [way.level for way in ways], [way.tint for way in ways]
    assert levels == sorted(levels)
    assert tints == sorted(tints)
    assert len(set(levels)) == len(levels)
    assert trust(flat(0.5)).tint > trust(CODE).tint  # of a lightness alone the hue is open
    assert trust(CODE, "a guess from memory") == trust({"colour": {"srgb": NAMED["sage"]}})
    # common practice: a reading beside a code sets the level, to 3 %; beside a photo it does not
    read = {**CODE, "light_reflectance": 0.4}
    assert trust(read).level == 0.03 < trust(CODE).level
    assert trust(read).tint == trust(CODE).tint
    assert trust(read, PHOTO_CARD) == trust(CODE, PHOTO_CARD)


@pytest.mark.parametrize(
    ("surface", "how", "told"),
    [
        (CODE, PHOTO_BARE, ["bounce.photo_without_card"]),
        (CODE, PHOTO_CARD_LAMPS, ["bounce.photo_under_lamps"]),
        (CODE, PHOTO_CARD, []),
        (CODE, None, []),
        ({"colour": {"srgb": NAMED["sage"]}}, None, ["bounce.everyday_name"]),
    ],
)
def test_an_estimate_says_so_beside_its_figures(
    surface: dict[str, Any], how: str | None, told: list[str]
) -> None:
    row = off(bounce(taken(surface, how), at((2, 1.5, 1.5))), "B")
    assert codes(row.assumed) == told


def test_a_wider_doubt_makes_a_wider_range() -> None:
    # property: the same colour, less surely taken, gives wider ranges of grey difference off that
    # wall; the risk lies in its range
    spans: dict[str, dict[str, float]] = {}
    for how in (PHOTO_CARD, PHOTO_BARE):
        given = taken({"colour": {"srgb": "#e9e4d8"}}, how)
        rows = bounce(given, at((2, 1.5, 1.5)))
        found, _ = doubted(given, at((2, 1.5, 1.5)), rows, surround(given, at((2, 1.5, 1.5))))
        for row in found:
            assert row.risk_range is not None
            assert row.risk is not None
            assert (
                RISKS.index(row.risk_range[0])
                <= RISKS.index(row.risk)
                <= RISKS.index(row.risk_range[1])
            )
        spans[how] = {
            row.surface: row.delta_e_range[1] - row.delta_e_range[0]
            for row in found
            if row.delta_e_range is not None
        }
    assert len(spans[PHOTO_CARD]) == 6
    assert spans[PHOTO_BARE]["B"] > 1.5 * spans[PHOTO_CARD]["B"]
    assert sum(spans[PHOTO_BARE].values()) > sum(spans[PHOTO_CARD].values())
