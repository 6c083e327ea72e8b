"""What letters stand upon, asked of many outlines at once."""

from __future__ import annotations

import math

import numpy as np

from scout.drawing.shapes import Point, rectangle
from scout.drawing.taken import Corners, Taken


def clipped(ring: Corners, by: Corners) -> list[Point]:
    """What of a ring or line lies within a convex ring, which goes round anticlockwise (Sutherland and
    Hodgman, Reentrant polygon clipping, 1974)."""
    left = list(ring)
    for a, b in zip(by, [*by[1:], by[0]], strict=True):
        inner = [(b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0]) for x, y in left]
        found = []
        for k, (p, at_p) in enumerate(zip(left, inner, strict=True)):
            q, at_q = left[(k + 1) % len(left)], inner[(k + 1) % len(left)]
            if at_p > 0:
                found.append(p)
            if (at_p > 0) != (at_q > 0):
                share = at_p / (at_p - at_q)
                found.append((p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1])))
        left = found
    return left


def turned_box(random: np.random.Generator) -> tuple[Point, ...]:
    x, y = random.uniform(0.0, 60.0, 2)
    wide, tall = random.uniform(0.5, 15.0, 2)
    turn = random.choice([0.0, random.uniform(0.0, math.pi)])
    c, s = math.cos(turn), math.sin(turn)
    return tuple(
        (float(x + c * u - s * v), float(y + s * u + c * v))
        for u, v in rectangle(-wide, -tall, wide, tall)
    )


def any_outline(random: np.random.Generator) -> tuple[Point, ...]:
    """A box, a line, or a ring of five to seven corners on a circle."""
    kind = random.integers(3)
    if kind == 0:
        return turned_box(random)
    if kind == 1:
        (a, b), (c, d) = random.uniform(0.0, 60.0, (2, 2)).tolist()
        return (a, b), (c, d)
    (x, y), radius = random.uniform(0.0, 60.0, 2), random.uniform(1.0, 12.0)
    turns = np.sort(random.uniform(0.0, 2 * math.pi, random.integers(5, 8)))
    return tuple((float(x + radius * math.cos(t)), float(y + radius * math.sin(t))) for t in turns)


def test_outlines_meet_where_clipping_leaves_something() -> None:
    random = np.random.default_rng(7)
    taken, known = Taken(), []
    met_some = 0
    for _ in range(40):
        for hard in (True, False):
            known.append((any_outline(random), hard))
            taken.add(known[-1][0], hard=hard)
        asked = [turned_box(random) for _ in range(5)]
        met, hard_met = taken.meets(asked)
        for box, one, of_hard in zip(asked, met, hard_met, strict=True):
            held = [hard for ring, hard in known if clipped(ring, box)]
            assert (bool(one), bool(of_hard)) == (bool(held), any(held))
            met_some += any(held)
        if len(known) > 12:  # few enough that some paper is free
            taken, known = Taken(), []
    assert 20 < met_some < 180


def test_what_only_touches_is_free() -> None:
    # by hand: a box from 0 to 10 each way
    taken = Taken()
    taken.add(rectangle(0.0, 0.0, 10.0, 10.0), hard=True)
    asked = [rectangle(10.0, 0.0, 20.0, 10.0), rectangle(9.9, 0.0, 20.0, 10.0)]
    assert taken.meets(asked)[0].tolist() == [False, True]
    lines = [((10.0, -5.0), (10.0, 15.0)), ((5.0, -5.0), (5.0, 15.0)), ((11.0, 5.0), (19.0, 5.0))]
    assert taken.meets(lines)[0].tolist() == [False, True, False]
    assert Taken().meets(asked)[0].tolist() == [False, False]
