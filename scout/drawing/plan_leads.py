"""What a working plan shows beyond the room: the edges of the widest frame, and the mains leads along the walls."""

from __future__ import annotations

from dataclasses import dataclass

from scout.drawing.board import Board
from scout.drawing.plan_walls import View
from scout.drawing.shapes import Line, Polyline


@dataclass(frozen=True)
class LeadLine:
    """A lead from its outlet to its light, in plan metres."""

    light: str
    outlet: str
    points_m: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class FrameEdges:
    """The two edges of a lens's field in plan, from the camera to the walls."""

    focal_length_mm: float
    camera_m: tuple[float, float]
    ends_m: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Working:
    """All of it, and what must be said beside the drawing."""

    leads: tuple[LeadLine, ...] = ()
    frame: FrameEdges | None = None
    remarks: tuple[str, ...] = ()


def draw_working(board: Board, view: View, working: Working) -> None:
    """Frame edges and leads, under the symbols."""
    hand, frame = board.hand, working.frame
    if frame is not None:
        lines = [Line(view.paper(*frame.camera_m), view.paper(*end), hand.pen("thin", "green", dash=(1.2, 0.4))) for end in frame.ends_m]
        board.group(lines, "frame", f"Frame of the {frame.focal_length_mm:g} mm lens", "view")
        board.note(f"The frame's edges are those of the {frame.focal_length_mm:g} mm lens.")
    for lead in working.leads:
        points = tuple(view.paper(x, y) for x, y in lead.points_m)
        board.group((Polyline(points, hand.pen("medium", "rust", dash=(0.5, 0.25))),), f"lead-{lead.light}", f"Lead from {lead.outlet} to {lead.light}", "lead")
    for remark in working.remarks:
        board.note(remark)
