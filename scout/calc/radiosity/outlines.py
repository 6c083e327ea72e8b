"""Polygons by the corners and edges they share: what neighbours have in common is then reckoned
once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scout.calc.geometry import FloatArray

IntArray = NDArray[np.intp]


@dataclass(frozen=True)
class Outlines:
    """Polygons (p) of c corners each.

    corners_m: (p, c, 3)
    corner_m:  (corners, 3), each place once;  corner: (p, c), which of them
    edge:      (edges, 2), each pair of corners once, by number;  edge_of: (p, c), the edge that
        leaves each corner
    way:       (p, c), 1, or -1 where that edge is run from its second corner to its first
    faces:     (p, 3), unit normals
    """

    corners_m: FloatArray
    corner_m: FloatArray
    corner: IntArray
    edge: IntArray
    edge_of: IntArray
    way: FloatArray
    faces: FloatArray

    def some(self, which: IntArray) -> Outlines:
        """The outlines of some of the polygons, with their own corners and edges alone."""
        edges, edge_of = np.unique(self.edge_of[which], return_inverse=True)
        corners, renumbered = np.unique(
            np.concatenate([self.corner[which].ravel(), self.edge[edges].ravel()]),
            return_inverse=True,
        )
        corner, edge = np.split(renumbered, [self.corner[which].size])
        return Outlines(
            self.corners_m[which],
            self.corner_m[corners],
            corner.reshape(len(which), -1),
            edge.reshape(-1, 2),
            edge_of.reshape(len(which), -1),
            self.way[which],
            self.faces[which],
        )


def outlines(corners_m: FloatArray) -> Outlines:
    """Polygons with the same number of corners, (p, c, 3); corners are shared where their
    coordinates are the same to the last digit.
    """
    corner_m, corner = np.unique(corners_m.reshape(-1, 3), axis=0, return_inverse=True)
    corner = corner.reshape(corners_m.shape[:2])
    pairs = np.stack([corner, np.roll(corner, -1, axis=1)], axis=-1)
    edge, edge_of = np.unique(np.sort(pairs.reshape(-1, 2), axis=1), axis=0, return_inverse=True)
    faces = np.cross(corners_m[:, 1] - corners_m[:, 0], corners_m[:, 2] - corners_m[:, 0])
    faces += np.cross(corners_m[:, 2] - corners_m[:, 0], corners_m[:, -1] - corners_m[:, 0])
    faces /= np.linalg.norm(faces, axis=-1, keepdims=True)
    return Outlines(
        corners_m,
        corner_m,
        corner,
        edge,
        edge_of.reshape(corner.shape),
        np.where(pairs[..., 0] <= pairs[..., 1], 1.0, -1.0),
        faces,
    )
