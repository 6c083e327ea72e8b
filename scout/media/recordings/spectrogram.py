"""A spectrogram as a picture: time to the right, pitch upwards, the louder the darker, so that it
prints in black and white.
"""

from __future__ import annotations

import io
from collections.abc import Sequence

import numpy as np
from PIL import Image

SPAN_DB = 60.0
HEIGHT_PX, LEAST_WIDTH_PX = 240, 720


def spectrogram_png(levels_db: Sequence[Sequence[float]]) -> bytes:
    """A greyscale PNG of (columns, rows) levels, lowest pitch first; the loudest black, 60 dB under
    it and less white.
    """
    grid = np.asarray(levels_db, dtype=np.float64)
    if grid.size == 0:
        grid = np.full((1, 1), -200.0)
    dark = np.clip((grid - (grid.max() - SPAN_DB)) / SPAN_DB, 0.0, 1.0)
    pixels = np.round(255.0 * (1.0 - dark)).astype(np.uint8).T[::-1]
    image = Image.fromarray(pixels).resize(
        (max(LEAST_WIDTH_PX, pixels.shape[1]), HEIGHT_PX), Image.Resampling.NEAREST
    )
    held = io.BytesIO()
    image.save(held, "PNG", optimize=True)
    return held.getvalue()
