"""Two drawings side by side on one strip of paper, with both their words."""

from __future__ import annotations

from scout.drawing.shapes import Drawing, Group, moved


def beside(left: Drawing, right: Drawing, gap_mm: float = 4.0) -> Drawing:
    """Both from the top, the left one first; the scale is given up, for it would be that of one of
    them.
    """
    height = max(left.height_mm, right.height_mm)
    parts = tuple(
        Group(
            tuple(moved(shape, dx, height - one.height_mm) for shape in one.shapes), name, one.title
        )
        for name, one, dx in (("left", left, 0.0), ("right", right, left.width_mm + gap_mm))
    )
    return Drawing(
        left.width_mm + gap_mm + right.width_mm,
        height,
        parts,
        f"{left.title}; {right.title}",
        f"{left.description} {right.description}",
    )
