"""What is known of the camera that took a photo: its focal length in pixels and how far that, the
middle of the picture and the lens may be off.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scout.calc.daylight.place.sighting import FILM_DIAGONAL_MM
from scout.calc.geometry import require

# Exif writes the equivalent in whole millimetres (26 mm: 2 %), makers round and count as they like
FOCAL_SIGMA = 0.03
# common practice: nothing known of it, a phone's main lens or a zoom at its wide end
UNKNOWN_MM, UNKNOWN_SIGMA = 30.0, 0.35
FRAMES = (4 / 3, 3 / 2)  # sides of a whole sensor; what is longer or squarer was cut from one
FRAME_SLACK = 0.02
# what a lens that phones and cameras correct themselves leaves at the corner, as a share of the way
LENS_SIGMA = 0.01
# how far the lens's axis passes the middle, as a share of the diagonal; a cut picture is far off it
MIDDLE_SIGMA, MIDDLE_SIGMA_UNKNOWN = 0.005, 0.05


@dataclass(frozen=True)
class Camera:
    """A camera as far as it is known. The picture's middle is taken for the lens's axis.

    focal_px:     in pixels of the picture;  focal_sigma: of its logarithm
    middle_sigma: of the axis, as a share of the diagonal
    known:        whether the file said the focal length
    """

    width_px: float
    height_px: float
    focal_px: float
    focal_sigma: float
    middle_sigma: float
    known: bool

    @property
    def diagonal_px(self) -> float:
        """Of the picture."""
        return math.hypot(self.width_px, self.height_px)


def camera_of(width_px: float, height_px: float, equivalent_mm: float | None) -> Camera:
    """The camera of an upright, uncut picture.

    equivalent_mm: focal length that would show as much on 36 x 24 mm, as the file says; None where
        it says nothing
    Raises:        OutOfRange, naming the argument
    Source:        CIPA DCG-001 counts the equivalent by the diagonal, 43.27 mm
    Limits:        phones that cut 16:9 from a 4:3 sensor go on writing the equivalent of the whole:
        where the sides are not a sensor's, it may be counted by either diagonal, and the doubt
        holds both (a Pixel XL at 16:9: 26 mm by the whole frame, 28.7 by the picture)
    """
    require("width_px", width_px, above=0)
    require("height_px", height_px, above=0)
    diagonal = math.hypot(width_px, height_px)
    if equivalent_mm is None:
        focal, sigma = UNKNOWN_MM / FILM_DIAGONAL_MM * diagonal, UNKNOWN_SIGMA
        return Camera(width_px, height_px, focal, sigma, MIDDLE_SIGMA_UNKNOWN, known=False)
    require("equivalent_mm", equivalent_mm, above=5, below=2000)
    long, short = max(width_px, height_px), min(width_px, height_px)
    whole = diagonal
    if all(abs(long / short / frame - 1.0) > FRAME_SLACK for frame in FRAMES):
        # cut from 4:3, which has the same longer side, or for a squarer one the same shorter side
        ratio = FRAMES[0]
        whole = (
            long * math.hypot(1, 1 / ratio)
            if long / short > ratio
            else short * math.hypot(ratio, 1)
        )
    apart = math.log(whole / diagonal)
    focal = equivalent_mm / FILM_DIAGONAL_MM * diagonal * math.exp(apart / 2)
    sigma = math.hypot(FOCAL_SIGMA, apart / 2)
    return Camera(width_px, height_px, focal, sigma, MIDDLE_SIGMA, known=True)
