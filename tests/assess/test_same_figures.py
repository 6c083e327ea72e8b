"""No figure of any engine moves unless it is meant to.

`property:` the figures stand in `tests/same_figures.json`, taken down by `python -m
tests.same_figures`. That they are right is what the other tests say.
"""

from __future__ import annotations

import pytest

from tests.same_figures import SITUATIONS, moved


@pytest.mark.parametrize("situation", SITUATIONS)
def test_every_figure_is_the_one_taken_down(situation: str) -> None:
    assert moved(situation)[:20] == []
