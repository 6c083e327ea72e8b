"""Shapes: hatches, bounds, letters, and that nothing without a number is drawn."""

from __future__ import annotations

import math

import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth

from scout.drawing.lettering import Hand, broken, clip, helvetica_width, tidy
from scout.drawing.shapes import (
    Circle,
    Drawing,
    Group,
    Hatch,
    Line,
    Pen,
    Polygon,
    Text,
    bounds,
    moved,
    rectangle,
)
from scout.errors import OutOfRange

PEN = Pen()


def test_hatch_covers_a_square_evenly() -> None:
    # by hand: level lines 1 mm apart in a 10 mm square: y = 1 ... 9, each 10 mm long (the edges
    # themselves are the outline's)
    lines = Hatch(rectangle(0, 0, 10, 10), 0.0, 1.0, PEN).lines()
    assert [round(a[1], 6) for a, _ in lines] == list(range(1, 10))
    assert all(math.dist(a, b) == pytest.approx(10.0) for a, b in lines)


def test_hatch_leaves_the_notch_of_an_ell_empty() -> None:
    # by hand: at y = 3 an L of 4 by 4 with its upper right quarter cut out is 2 wide, at y = 1 it
    # is 4 wide
    ell = ((0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (2.0, 2.0), (2.0, 4.0), (0.0, 4.0))
    at = {round(a[1], 3): math.dist(a, b) for a, b in Hatch(ell, 0.0, 0.5, PEN).lines()}
    assert at[3.0] == pytest.approx(2.0)
    assert at[1.0] == pytest.approx(4.0)


@pytest.mark.parametrize("angle_deg", [0.0, 30.0, 45.0, 90.0, 135.0])
def test_hatched_length_is_area_over_gap(angle_deg: float) -> None:
    # property: parallels a gap apart, however turned, run area / gap in all, but for the edges
    box = rectangle(0, 0, 30, 20)
    total = sum(math.dist(a, b) for a, b in Hatch(box, angle_deg, 0.25, PEN).lines())
    assert total == pytest.approx(600 / 0.25, rel=0.03)


def test_hatch_of_a_huge_polygon_stays_small() -> None:
    assert len(Hatch(rectangle(0, 0, 1e7, 1e7), 45.0, 0.3, PEN).lines()) <= 2001


def test_turned_letters_have_turned_bounds() -> None:
    # by hand: 10 wide letters set upwards from the origin reach from 0 to 10 in y
    left, bottom, right, top = bounds([Text((0.0, 0.0), "x", 2.0, 10.0, angle_deg=90.0)])
    assert (bottom, top) == (pytest.approx(0.0, abs=1e-9), pytest.approx(10.0))
    assert left < 0 < right


def test_moving_moves_everything() -> None:
    # property: bounds shift by just what the shapes are shifted
    shapes = (
        Line((0, 0), (1, 2), PEN),
        Group((Circle((5, 5), 1.0, PEN), Polygon(((0, 0), (1, 0), (0, 1)), PEN))),
        Text((1, 1), "a", 2, 1),
    )
    before = bounds(shapes)
    after = bounds([moved(shape, 10.0, -3.0) for shape in shapes])
    assert after == pytest.approx((before[0] + 10, before[1] - 3, before[2] + 10, before[3] - 3))


@pytest.mark.parametrize(
    "shape",
    [
        Line((0, math.nan), (1, 1), PEN),
        Circle((0, 0), math.inf, PEN),
        Group((Text((math.nan, 0), "a", 2, 1),)),
    ],
)
def test_no_drawing_holds_a_number_that_is_none(shape: Line | Circle | Group) -> None:
    with pytest.raises(OutOfRange, match="not finite"):
        Drawing(10, 10, (shape,), "t", "d")


def test_letters_run_as_wide_as_helvetica() -> None:
    # Source: ReportLab's copy of the Adobe AFM of Helvetica
    for text in ("Long parlour, 5.00 m", "".join(map(chr, range(32, 127))), "W1 2.00 ±5°"):
        assert helvetica_width(text, 10.0) == pytest.approx(
            stringWidth(text, "Helvetica", 10), rel=0.01
        )


@pytest.mark.parametrize(
    "text",
    [
        "short",
        "x" * 300,
        "Wohnzimmer im zweiten Stock",
        "e\u0301" * 200,
        "👩‍👩‍👧" * 50,
        "شارع" * 80,
        "",
    ],
)
@pytest.mark.parametrize("most_mm", [0.5, 12.0, 40.0])
def test_clipped_letters_never_run_over(text: str, most_mm: float) -> None:
    cut = clip(text, most_mm, 2.6)
    assert helvetica_width(cut, 2.6) <= most_mm + 1e-9
    assert cut == text or cut.endswith("…") or cut == ""
    assert not cut.removesuffix("…").endswith("\u200d")


def test_clipping_keeps_a_letter_with_its_accent() -> None:
    # property: what is kept never ends before a combining mark of the letter it shows
    text = "e\u0301" * 60
    kept = clip(text, 20.0, 2.6).removesuffix("…")
    assert len(kept) % 2 == 0


def test_tidy_drops_what_turns_or_breaks_the_line() -> None:
    assert tidy("a\u202eb\x00c\n d\t\te\ufeff") == "abc d e"


def test_broken_lines_fit_and_lose_no_word() -> None:
    text = "Window W3 on wall D is not drawn: place along the wall and breadth not measured."
    lines = broken(text, 30.0, 2.6)
    assert " ".join(lines) == text
    assert all(helvetica_width(line, 2.6) <= 30.0 for line in lines)
    assert len(broken("word " * 3000, 30.0, 2.6, lines_most=6)) == 6


def test_lengths_in_both_systems() -> None:
    # by hand: 3.81 m = 150 in = 12 ft 6 in (an inch is 25.4 mm exactly)
    assert Hand().length(3.81) == "3.81\u00a0m"
    assert Hand().length(3.81, unit=False) == "3.81"
    assert Hand(units="feet").length(3.81, unit=False) == "12' 6\""
