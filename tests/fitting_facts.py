"""Facts of a room that do not fit each other, for the two that say so: the record's checks and a
phone's page. Each: what stands in a room of 4 by 3 m under 2.5 m, and what does not fit, by kind,
label and field, with the code of the words. Worked out by hand from the sizes in it.
"""

from __future__ import annotations

from typing import Any

ROOM: dict[str, Any] = {"name": "Hall", "width_m": 4.0, "length_m": 3.0, "height_m": 2.5}
L_PLAN = [[0, 5], [4, 5], [4, 2], [2, 2], [2, 0], [0, 0]]
W, D, P = "windows", "doors", "outlets"


def opening(label: str, wall: str = "A", **lengths: float) -> dict[str, Any]:
    return {"id": label, "wall": wall, **{f"{name}_m": m for name, m in lengths.items()}}


FITTING: list[tuple[dict[str, Any], list[tuple[str, str, str, str]]]] = [
    ({W: [opening("W1", offset=1, width=3)]}, []),
    # 4.0 m of wall A and half a centimetre of slack
    ({W: [opening("W1", offset=1, width=3.005)]}, []),
    ({W: [opening("W1", offset=1, width=3.01)]}, [(W, "W1", "offset_m", "reaches_past")]),
    ({D: [opening("D1", offset=3.5, width=0.9)]}, [(D, "D1", "offset_m", "reaches_past")]),
    ({W: [opening("W1", "B", width=3.2)]}, [(W, "W1", "width_m", "wider")]),
    ({W: [opening("W1", "B", offset=1, width=3.2)]}, [(W, "W1", "width_m", "wider")]),
    ({W: [opening("W1", width=1)]}, []),
    # a sill at the ceiling; a head at 2.6 of 2.5 m; a door as high
    ({W: [opening("W1", sill=2.5, height=1)]}, [(W, "W1", "sill_m", "above_ceiling")]),
    ({W: [opening("W1", sill=1.4, height=1.2)]}, [(W, "W1", "height_m", "head_above")]),
    ({D: [opening("D1", height=2.6)]}, [(D, "D1", "height_m", "head_above")]),
    ({"setting": "exterior", D: [opening("D1", height=2.6)]}, []),
    # side by side, one over another, a centimetre and six of a door over a window
    ({W: [opening("W1", offset=0, width=1), opening("W2", offset=1, width=1)]}, []),
    (
        {W: [opening("W1", offset=0, width=1), opening("W2", offset=0.99, width=1)]},
        [(W, "W2", "offset_m", "overlap")],
    ),
    (
        {
            W: [
                opening("W1", offset=0, width=1, sill=0, height=1),
                opening("W2", offset=0, width=1, sill=1, height=1),
            ]
        },
        [],
    ),
    (
        {W: [opening("W1", offset=0, width=1)], D: [opening("D1", offset=0.96, width=0.9)]},
        [],
    ),
    (
        {W: [opening("W1", offset=0, width=1)], D: [opening("D1", offset=0.94, width=0.9)]},
        [(D, "D1", "offset_m", "overlap")],
    ),
    (
        {W: [opening("W1", offset=0, width=1)], D: [opening("D1", "B", offset=0, width=0.9)]},
        [],
    ),
    ({P: [opening("P1", offset=4.0, height=0.3)]}, []),
    ({P: [opening("P1", offset=4.1, height=0.3)]}, [(P, "P1", "offset_m", "past_end")]),
    ({P: [opening("P1", height=2.6)]}, [(P, "P1", "height_m", "above_ceiling")]),
    # the L: its wall C is 2 m long, and the corner that is cut out is no floor
    (
        {"plan_m": L_PLAN, P: [opening("P1", "C", offset=2.1)]},
        [(P, "P1", "offset_m", "past_end")],
    ),
    ({"plan_m": L_PLAN, "marks": {"subject": [1, 1, 1.2]}}, []),
    (
        {"plan_m": L_PLAN, "marks": {"subject": [3, 1, 1.2]}},
        [("marks", "subject", "", "outside")],
    ),
    ({"marks": {"subject": [4.004, 1, 1.2]}}, []),
    ({"marks": {"camera": [4.5, 1, 1.2]}}, [("marks", "camera", "", "camera_outside")]),
]


def sheet_of(facts: dict[str, Any]) -> dict[str, Any]:
    """The room sheet of a row of the table."""
    marks = facts.get("marks")
    room = {**ROOM, **{name: value for name, value in facts.items() if name != "marks"}}
    if "plan_m" in room:
        del room["width_m"], room["length_m"]
    return {"schema": "room-sheet/1", "room": room, **({"marks": marks} if marks else {})}
