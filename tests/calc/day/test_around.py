"""Set-up and strike by what is set up; rules of thumb (common practice), sums by hand."""

from __future__ import annotations

import pytest

from scout.calc.day.around import EACH_MIN, around_min
from scout.errors import OutOfRange


def test_three_lights_two_microphones_and_a_camera() -> None:
    # by hand: 10 + 3 x 5 + 3 x 3 + 2 x 5 = 44 min; 5 + 3 x 3 + 3 x 2 + 2 x 3 = 26 min
    things = {"camera": 1, "light": 3, "lead": 3, "mic": 2, "window": 0}
    assert around_min(things, 1) == (44, 26)
    assert around_min(things, 5) == (45, 30)
    assert around_min({"camera": 1}, 5) == (10, 5)
    assert around_min({}, 5) == (0, 0)


def test_more_takes_longer_and_strikes_are_quicker() -> None:
    # property; strikes are quicker than set-ups (common practice)
    for thing in EACH_MIN:
        one, two = around_min({thing: 1}, 1), around_min({thing: 2}, 1)
        assert two[0] > one[0] > one[1]
        assert two[1] > one[1]


@pytest.mark.parametrize(("things", "step"), [({"light": -1}, 5), ({"light": 1}, 0)])
def test_what_cannot_be_is_refused(things: dict[str, int], step: int) -> None:
    with pytest.raises(OutOfRange):
        around_min(things, step)  # type: ignore[arg-type]
