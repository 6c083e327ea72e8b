"""What the furniture on record takes of the sound, once together with the seats among the contents.

Source: EN 12354-6:2003, 4.3, from memory: a hard thing of no regular shape takes as much as an open
    window of its volume to the power of two thirds, and the air in the room is less by its volume.
    A sofa of 2.0 by 0.9 by 0.85 m takes 1.3 m2 by that, and 1.4 m2 as the handbook's upholstered
    seats on as much floor.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from scout.calc.geometry import FloatArray
from scout.records.sheet import RoomRecord
from scout.values import Figure, Said, names, said

SEAT_MOST_M = 1.2  # what is no higher may be sat on, and counted among the contents as seats
FILLED_MOST = 0.5  # of the room: the rule holds for rooms with some air in them


@dataclass(frozen=True)
class Furnishing:
    """Absorption area (bands,) and volume of the pieces, and what is to be said of them."""

    absorbing_m2: FloatArray
    volume_m3: float
    assumed: tuple[Said, ...]


def furnishing(room: RoomRecord, volume_m3: float, seats_m2: FloatArray) -> Furnishing:
    """The pieces whose size is measured, by their volume; those low enough for seats only as far as
    they take more than the seats among the contents.

    seats_m2: (bands,) absorption area of those seats
    """
    low = tall = filled = 0.0
    counted, left_out = [], []
    for piece in room.furniture or ():
        if piece.width_m is None or piece.depth_m is None or piece.height_m is None:
            left_out.append(piece.id)
            continue
        high = piece.height_m - (piece.clear_below_m or 0.0)
        volume = piece.width_m * piece.depth_m * max(high, 0.0)
        counted.append(piece.id)
        filled += volume
        if piece.height_m <= SEAT_MOST_M:
            low += volume ** (2.0 / 3.0)
        else:
            tall += volume ** (2.0 / 3.0)
    assumed = []
    if counted:
        area = Figure(low + tall, "m2")
        assumed.append(said("reverb.pieces", pieces=names(counted), area=area))
        if low > 0.0 and np.any(seats_m2 > 0.0):
            assumed.append(said("reverb.pieces_once", high=Figure(SEAT_MOST_M, "m")))
    if left_out:
        assumed.append(said("reverb.pieces_left_out", pieces=names(left_out)))
    return Furnishing(
        np.maximum(low - seats_m2, 0.0) + tall,
        min(filled, FILLED_MOST * volume_m3),
        tuple(assumed),
    )
