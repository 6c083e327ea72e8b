"""Arrows, boxes and words on a photo: where they lie, and that all of them can be read."""

from __future__ import annotations

import io
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from scout.drawing import pdf
from scout.drawing.lettering import Hand
from scout.drawing.overlays import cut_short, overlay_drawing
from scout.drawing.shapes import Polygon, Text, bounds, walk
from scout.errors import RefusedMany
from scout.records.kept import Overlay, PhotoRecord

HAND = Hand(2.85)
ARROW = {"kind": "arrow", "x": 0.25, "y": 0.5, "to_x": 0.75, "to_y": 0.25, "text": "This socket"}
BOX = {"kind": "box", "x": 0.5, "y": 0.25, "to_x": 0.25, "to_y": 0.75}


def drawn(*plains: dict[str, Any], wide: float = 120.0, high: float = 90.0) -> Any:
    return overlay_drawing([Overlay.read(one) for one in plains], wide, high, HAND)


def test_an_arrow_points_where_it_was_set() -> None:
    # by hand: 0.75 of 120 mm from the left, 0.25 of 90 mm from the top is 67.5 mm up
    heads = [one for one in walk(drawn(ARROW).shapes) if isinstance(one, Polygon)]
    assert {one.points[0] for one in heads} == {(90.0, 67.5)}


def test_a_box_goes_round_what_was_dragged_over() -> None:
    # by hand: from 0.25 to 0.5 of 120 mm, and from 0.25 to 0.75 of 90 mm, whichever corner was first
    assert bounds(drawn(BOX).shapes) == pytest.approx((30.0, 22.5, 60.0, 67.5))


def test_what_is_drawn_is_said_in_words_too() -> None:
    made = drawn(ARROW, BOX)
    assert made.title == "2 things drawn on the photo"
    assert made.description == "arrow: This socket; box"


def test_words_are_read_back_from_paper() -> None:
    held = io.BytesIO()
    canvas = Canvas(held, pagesize=(120 * mm, 90 * mm))
    pdf.draw(canvas, drawn(ARROW, {**BOX, "text": "Not this door"}), 0, 0)
    canvas.save()
    read = PdfReader(held).pages[0].extract_text()
    assert "This socket" in read
    assert "Not this door" in read


share = st.floats(0, 1)
words = st.none() | st.text(min_size=1, max_size=60)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(["arrow", "box", "words"]), share, share, share, share, words),
        max_size=6,
    ),
    st.floats(0.05, 20),
)
def test_nothing_written_leaves_the_picture(rows: list[tuple[Any, ...]], shape: float) -> None:
    # property: for pictures from 20 times as wide as high to 20 times as high as wide
    kept = []
    for kind, x, y, to_x, to_y, text in rows:
        plain = {"kind": kind, "x": x, "y": y, "to_x": to_x, "to_y": to_y, "text": text}
        try:
            kept.append(Overlay.read({key: one for key, one in plain.items() if one is not None}))
        except RefusedMany:
            continue
    wide, high = (80.0, 80.0 / shape) if shape > 1 else (80.0 * shape, 80.0)
    made = overlay_drawing(kept, wide, high, HAND)
    for one in walk(made.shapes):
        if isinstance(one, Text):
            left, _, right, _ = bounds([one])
            assert left >= -0.01
            assert right <= wide + 0.01
    lost = set(cut_short(kept, wide, high, HAND))
    assert lost <= {one.text for one in kept}


def test_words_that_have_no_room_are_named() -> None:
    # by hand: 24 letters of 2.85 mm take about 38 mm, and the picture is 10 mm wide
    long = Overlay.read({"kind": "words", "x": 0.5, "y": 0.5, "text": "Waschmaschinenanschlusse"})
    assert cut_short([long], 10.0, 80.0, HAND) == ("Waschmaschinenanschlusse",)
    assert cut_short([long], 120.0, 80.0, HAND) == ()


def test_two_names_at_one_place_stand_apart() -> None:
    one = {"kind": "words", "x": 0.5, "y": 0.5, "text": "Key light"}
    first, second = (
        s for s in walk(drawn(one, {**one, "text": "Fill light"}).shapes) if isinstance(s, Text)
    )
    assert abs(first.at[1] - second.at[1]) > 2.85


@pytest.mark.parametrize(
    ("plain", "code"),
    [
        ({"kind": "words", "x": 0.5, "y": 0.5}, "record.overlay_words"),
        ({"kind": "arrow", "x": 0.5, "y": 0.5, "to_x": 0.6}, "record.overlay_end"),
        (
            {"kind": "arrow", "x": 0.5, "y": 0.5, "to_x": 0.509, "to_y": 0.509},
            "record.overlay_short",
        ),
        ({"kind": "box", "x": 0.5, "y": 0.5, "to_x": 0.9, "to_y": 0.509}, "record.overlay_short"),
        ({"kind": "circle", "x": 0.5, "y": 0.5}, "record.not_one_of"),
        ({"kind": "words", "x": 0.5, "y": 0.5, "text": "n" * 61}, "record.too_long"),
    ],
)
def test_what_shows_nothing_is_refused(plain: dict[str, Any], code: str) -> None:
    with pytest.raises(RefusedMany) as error:
        PhotoRecord.read({"overlays": [plain]})
    (one,) = error.value.refusals
    assert one.path.startswith("overlays[0]")
    assert one.because.code == code  # type: ignore[union-attr]


def test_a_level_arrow_and_as_many_as_a_picture_bears() -> None:
    level = {"kind": "arrow", "x": 0.5, "y": 0.5, "to_x": 0.51, "to_y": 0.5}
    assert len(PhotoRecord.read({"overlays": [level] * 30}).overlays or ()) == 30
    with pytest.raises(RefusedMany):
        PhotoRecord.read({"overlays": [level] * 31})
