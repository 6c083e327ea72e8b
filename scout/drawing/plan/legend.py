"""What the signs of a plan look like beside their words: a sample of each, drawn at a point."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from scout.drawing import pictograms
from scout.drawing.lettering import Hand
from scout.drawing.plan.walls import door_sample, wall_sample, window_sample
from scout.drawing.shapes import (
    Circle,
    Hatch,
    Ink,
    Line,
    Pen,
    Point,
    Polygon,
    Shape,
    rectangle,
)

Sample = Callable[[Hand, Point], Sequence[Shape]]


def _patch(hand: Hand, at: Point, height: float) -> Sequence[Shape]:
    u = hand.text_mm
    box = rectangle(at[0] - u, at[1] - height * u, at[0] + u, at[1] + height * u)
    return Polygon(box, hand.pen("fine", "rust")), Hatch(
        box, 45.0 if height > 0.4 else 90.0, 0.4 * u, hand.pen("fine", "rust")
    )


def _rim(hand: Hand, at: Point) -> Sequence[Shape]:
    u, (x, y) = hand.text_mm, at
    ticks = [
        Line((x + k * 0.4 * u, y - 0.28 * u), (x + k * 0.4 * u, y + 0.28 * u), hand.pen("hair"))
        for k in (-2, -1, 0, 1, 2)
    ]
    return (
        Line((x - u, y - 0.28 * u), (x + u, y - 0.28 * u), hand.pen("hair")),
        Line((x - u, y + 0.28 * u), (x + u, y + 0.28 * u), hand.pen("thin")),
        *ticks,
    )


def _stroke(hand: Hand, at: Point, pen: Pen) -> Line:
    return Line((at[0] - hand.text_mm, at[1]), (at[0] + hand.text_mm, at[1]), pen)


def _beam(hand: Hand, at: Point) -> Sequence[Shape]:
    u, (x, y) = hand.text_mm, at
    return tuple(
        Line((x - u, y), (x + u, y + side * 0.55 * u), hand.pen("fine")) for side in (-1, 1)
    )


def _tape(hand: Hand, at: Point) -> Sequence[Shape]:
    u, (x, y) = hand.text_mm, at
    return _stroke(hand, at, hand.pen("hair")), Line(
        (x + 0.72 * u, y - 0.28 * u), (x + 1.28 * u, y + 0.28 * u), hand.pen("medium")
    )


def _floor(hand: Hand, at: Point) -> Sequence[Shape]:
    u, (x, y) = hand.text_mm, at
    return (
        Polygon(
            rectangle(x - u, y - 0.6 * u, x + u, y + 0.6 * u), hand.pen("fine", dash=(0.5, 0.35))
        ),
    )


def _shade(hand: Hand, at: Point, angle_deg: float, height: float, gap: float) -> Sequence[Shape]:
    u = hand.text_mm
    box = rectangle(at[0] - u, at[1] - height * u, at[0] + u, at[1] + height * u)
    return Hatch(box, angle_deg, gap * u, hand.pen("fine")), Polygon(box, hand.pen("fine"))


def _role(role: str, size: float) -> Sample:
    return lambda h, p: pictograms.role_light(h, p, size * h.text_mm, 0.0, role)


def _stroked(weight: str, ink: Ink = "ink", dash: tuple[float, ...] = ()) -> Sample:
    return lambda h, p: (_stroke(h, p, h.pen(weight, ink, dash=dash)),)


LEGEND: dict[str, tuple[str, Sample]] = {
    "wall": ("wall, inner face measured", lambda h, p: wall_sample(h, p, 2 * h.text_mm)),
    "ground": (
        "edge of the usable ground",
        lambda h, p: (
            Line(
                (p[0] - h.text_mm, p[1]), (p[0] + h.text_mm, p[1]), h.pen("medium", dash=(0.7, 0.3))
            ),
        ),
    ),
    "window": ("window", lambda h, p: window_sample(h, p, 2.2 * h.text_mm)),
    "window_over": (
        "window over another opening",
        lambda h, p: window_sample(h, p, 2.2 * h.text_mm, upper=True),
    ),
    "door": ("door (swing not recorded)", lambda h, p: door_sample(h, p, 1.9 * h.text_mm)),
    "letter": ("wall letter", lambda h, p: pictograms.lettered_circle(h, p, "A")),
    "letter_ground": ("letter of an edge", lambda h, p: pictograms.lettered_circle(h, p, "A")),
    "furniture": (
        "piece of furniture",
        lambda h, p: pictograms.block_shapes(
            h,
            rectangle(
                p[0] - h.text_mm, p[1] - 0.55 * h.text_mm, p[0] + h.text_mm, p[1] + 0.55 * h.text_mm
            ),
        ),
    ),
    "outlet": (
        "outlet · its circuit",
        lambda h, p: pictograms.outlet(h, (p[0] - 0.4 * h.text_mm, p[1]), 0.95 * h.text_mm, 0.0),
    ),
    "practical": (
        "practical (room's own lamp)",
        lambda h, p: pictograms.practical(h, p, 0.95 * h.text_mm),
    ),
    "light": (
        "light, where it is pinned",
        lambda h, p: pictograms.light(h, (p[0] - 0.3 * h.text_mm, p[1]), 0.7 * h.text_mm, 0.0),
    ),
    "light_planned": (
        "light, planned or assumed",
        lambda h, p: pictograms.light(
            h, (p[0] - 0.3 * h.text_mm, p[1]), 0.7 * h.text_mm, 0.0, planned=True
        ),
    ),
    "camera": ("camera, lens ahead", lambda h, p: pictograms.camera(h, p, 0.95 * h.text_mm, 0.0)),
    "camera_mark": (
        "the camera's mark, left for this scene",
        lambda h, p: pictograms.camera_mark(h, p, 0.8 * h.text_mm),
    ),
    "subject": (
        "subject, and the way they face",
        lambda h, p: pictograms.person(h, p, 0.85 * h.text_mm, 0.0),
    ),
    "path": (
        "the subject's walk",
        lambda h, p: pictograms.path(h, ((p[0] - h.text_mm, p[1]), (p[0] + h.text_mm, p[1]))),
    ),
    "role_key": ("key light", _role("key", 0.85)),
    "role_fill": ("fill light", _role("fill", 0.8)),
    "role_back": ("back light", _role("back", 0.85)),
    "role_other": ("light beyond key, fill, back", _role("other", 0.85)),
    "role_bounce": ("white board on a stand", _role("bounce", 0.8)),
    "aim": (
        "the way a light points",
        lambda h, p: (
            _stroke(h, p, h.pen("hair", dash=(0.9, 0.35))),
            pictograms.head_of_arrow(h, p, 0.0),
        ),
    ),
    "beam": ("edges of its beam", _beam),
    "tape": ("tape, square off the wall", _tape),
    "shadow_floor": ("shadow on the floor", lambda h, p: _shade(h, p, 0.0, 0.55, 0.5)),
    "shadow_wall": ("shadow on a wall", lambda h, p: _shade(h, p, 90.0, 0.35, 0.28)),
    "boom": (
        "microphone on its boom",
        lambda h, p: pictograms.boom(
            h, p, 0.8 * h.text_mm, (p[0] - 1.1 * h.text_mm, p[1] - 0.4 * h.text_mm)
        ),
    ),
    "lead_0": ("mains cable", _stroked("medium", "rust")),
    "lead_1": (
        "cable, next circuit",
        _stroked("medium", "rust", dash=(0.9, 0.3)),
    ),
    "lead_2": (
        "cable, third circuit",
        _stroked("medium", "rust", dash=(0.25, 0.25)),
    ),
    "lead_3": (
        "cable, fourth circuit",
        _stroked("medium", "rust", dash=(1.2, 0.3, 0.25, 0.3)),
    ),
    "trip": ("trip: tape or ramp it", lambda h, p: pictograms.trip(h, p, 0.85 * h.text_mm)),
    "field_chosen": (
        "field of the chosen lens",
        _stroked("thin", "green"),
    ),
    "field": (
        "field of another lens",
        _stroked("fine", "green", dash=(1.2, 0.4)),
    ),
    "field_name": (
        "its focal length in mm",
        lambda h, p: (h.centred(p, "35", size=0.9, ink="green"),),
    ),
    "band": ("wall in frame, chosen lens", lambda h, p: _shade(h, p, 45.0, 0.37, 0.3)),
    "operator": ("floor of camera and operator", _floor),
    "focus": ("lens to eyes, straight", _stroked("fine")),
    "walk_mark": ("mark of the walk, in order", lambda h, p: pictograms.numbered(h, p, "1")),
    "white": ("white: floor, overhead, wall", _stroked("bold", "green", (1.0, 0.6))),
    "sun_floor": ("sun on the floor, hour in it", lambda h, p: _patch(h, p, 0.55)),
    "sun_wall": ("sun on a wall", lambda h, p: _patch(h, p, 0.3)),
    "sun_hour": (
        "the sun's bearing at the hour",
        lambda h, p: (Circle(p, 0.42 * h.text_mm, h.pen("fine", "rust"), "rust"),),
    ),
    "sun_edge": ("sunrise, sunset", lambda h, p: pictograms.sun(h, p, 0.75 * h.text_mm, half=90.0)),
    "rim": ("bearings, a stroke every 10°", _rim),
}


# The same in fewer words, where a second column fits no other way.
SHORTER = {
    "wall": "wall, inner face",
    "window_over": "window above",
    "door": "door, swing unknown",
    "letter_ground": "edge letter",
    "furniture": "furniture",
    "practical": "room's own lamp",
    "light": "light, pinned",
    "light_planned": "light, planned",
    "camera_mark": "camera's mark, left",
    "subject": "subject, facing",
    "role_other": "another light",
    "role_bounce": "white board",
    "aim": "aimed this way",
    "beam": "beam's edges",
    "tape": "tape, square off",
    "shadow_floor": "floor shadow",
    "shadow_wall": "wall shadow",
    "boom": "microphone, boom",
    "trip": "trip: tape it",
    "field_chosen": "chosen lens",
    "field": "another lens",
    "field_name": "focal length, mm",
    "band": "wall in frame",
    "operator": "camera and operator",
    "focus": "lens to eyes",
    "walk_mark": "mark of the walk",
    "sun_floor": "sun, hour in it",
    "sun_hour": "sun at the hour",
    "rim": "bearings by 10°",
}
