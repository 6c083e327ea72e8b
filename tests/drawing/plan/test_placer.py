"""The letters of symbols stand where nobody doubts whose they are."""

from __future__ import annotations

import pytest

from scout.drawing.board import Board
from scout.drawing.lettering import Hand
from scout.drawing.plan.placer import Tag, place_tags
from scout.drawing.shapes import Text, bounds, rectangle, walk
from scout.values import Name

U = 3.0


def texts(board: Board) -> list[Text]:
    return [one for shape in board.over for one in walk((shape,)) if isinstance(one, Text)]


def walled(gap_mm: float) -> Board:
    """A board whose symbol at the origin has free paper a little off on its right alone."""
    board = Board(Hand(U))
    for box in (
        (-200.0, gap_mm, 200.0, 200.0),
        (-200.0, -200.0, 200.0, -gap_mm),
        (-200.0, -gap_mm, -1.0, gap_mm),
    ):
        board.take(rectangle(*box))
    return board


def left_edge(board: Board) -> float:
    return min(x for text in texts(board) for x, _ in text.corners())


def test_letters_stand_on_a_lead_where_there_is_no_other_place_near() -> None:
    leads = [((x, -60.0), (x, 60.0)) for x in range(6, 80, 8)]
    tag = Tag("key", (0.0, 0.0), 1.0, (Name("key 2.20 m"),))
    for hard in (True, False):
        board = walled(4.0)
        for lead in leads:
            board.take(lead, hard=hard)
        assert place_tags(board, [tag]) == ([tag] if hard else [])
        if not hard:
            # by hand: the first ring is 0.4 letters off the symbol's edge, a millimetre off its middle
            assert left_edge(board) < 1.0 + 0.6 * U
    # property: a free place a little off is better than one upon a lead
    board = walled(4.0)
    board.take(leads[0], hard=False)
    assert place_tags(board, [tag]) == []
    assert left_edge(board) > 6.0


@pytest.mark.parametrize("apart_mm", range(20, 60, 2))
def test_letters_of_two_things_do_not_read_as_one(apart_mm: int) -> None:
    # free paper is between the two symbols and below them
    board = Board(Hand(U))
    for box in (
        (-200.0, 2.5, 200.0, 200.0),
        (-200.0, -200.0, -1.0, 2.5),
        (apart_mm + 1.0, -200.0, 200.0, 2.5),
    ):
        board.take(rectangle(*box))
    boom = Tag("boom", (0.0, 0.0), 1.0, (Name("boom"),))
    socket = Tag("socket", (float(apart_mm), 0.0), 1.0, (Name("P2, K1"),))
    assert place_tags(board, [boom, socket]) == []
    (_, low, right, high), (start, foot, _, head) = (bounds((text,)) for text in texts(board))
    # common practice: a space between words is a quarter to a third of the letters' size; more than
    # two of them part two things
    assert start - right > 0.75 * 0.9 * U or not (low < head and foot < high)


def test_the_first_line_alone_where_both_would_be_led() -> None:
    # by hand: beside the symbol is paper for the first line alone, for both 20 mm below, nearer to other symbols
    rows = (Name("key 2.20 m"), Name("0.66 off B, 2.62 off C"))
    tag = Tag("key", (0.0, 0.0), 1.0, rows)
    others = [((24.0, 0.0), 1.0), *(((x, -44.0), 1.0) for x in range(-80, 81, 10))]
    board = Board(Hand(U))
    for box in (
        (-200.0, 5.0, 200.0, 200.0),
        (-200.0, -20.0, 200.0, -5.0),
        (-200.0, -200.0, 200.0, -45.0),
        (-200.0, -5.0, -1.0, 5.0),
    ):
        board.take(rectangle(*box))
    board.take_round(*others[0])
    assert place_tags(board, [tag], others) == [tag]  # the rest is told below
    [text] = texts(board)
    assert text.text == "key 2.20 m"
    assert left_edge(board) < 1.0 + 0.6 * U
