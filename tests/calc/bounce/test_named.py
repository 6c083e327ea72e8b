"""Everyday names of colours, and codes for the screen."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.bounce.difference import lab
from scout.calc.bounce.named import NAMED, code_of_xyz, nearest_name
from scout.calc.bounce.surface import SRGB_TO_XYZ, linear_of_srgb, of_srgb
from scout.drawing.plan.bounce import bounce_plan
from scout.errors import OutOfRange
from scout.values import Name
from tests.assess.bounce.test_bounce import GREY_ROOM, sheet


@pytest.mark.parametrize("name", sorted(NAMED))
def test_every_name_finds_itself_and_is_a_real_surface(name: str) -> None:
    # property: decoding and coding sRGB (IEC 61966-2-1) undo each other; a wall's spectrum stays
    # between 0 and 1
    value = SRGB_TO_XYZ @ linear_of_srgb(NAMED[name])
    assert code_of_xyz(value) == NAMED[name]
    assert nearest_name(lab(value)) == name
    spectrum = of_srgb(NAMED[name]).spectrum
    assert np.all((spectrum > 0) & (spectrum < 1))


def test_no_number_is_refused() -> None:
    with pytest.raises(OutOfRange, match="colour"):
        nearest_name([float("nan"), 0, 0])


def test_plan_says_in_words_what_it_shows() -> None:
    room = sheet(GREY_ROOM).room
    drawing = bounce_plan(
        room,
        {"A": 0.6, "B": 0.3, "C": 0.08, "D": 0.001, "floor": 0.01, "ceiling": 0.009},
        what=Name("key"),
    )
    assert drawing is not None
    assert drawing.description.index("wall A: 60 %") < drawing.description.index("wall B: 30 %")
    assert "wall D: under 1 %" in drawing.description
