"""Whether a photo is as its camera made it: what is measured on one that was cut, blown up or worked
on is wrong in silence.
"""

from __future__ import annotations

from datetime import datetime

from scout.errors import Refused
from scout.media.photos.inside import Inside
from scout.values import Name, said

# What a file's Software tag says after somebody worked on the picture; a phone's own says its
# system's version there.
EDITORS = (
    "photoshop",
    "lightroom",
    "gimp",
    "snapseed",
    "darktable",
    "rawtherapee",
    "affinity",
    "capture one",
    "pixelmator",
    "imagemagick",
    "paint",
)
LATER_S = 60.0  # the last edit may be written down some seconds after the capture


def refuse_edited(inside: Inside, name: str, called: str) -> None:
    """Raises Refused for a photo that its own notes tell to be edited, cut or made smaller."""
    if inside.exif is None:
        return
    tags = inside.exif.exposure
    software = (tags.software or "").lower()
    if any(editor in software for editor in EDITORS):
        raise Refused(name, Name(called), said("refusal.card.edited", by=Name(tags.software or "")))
    if _later(inside.exif.original, tags.changed):
        raise Refused(name, Name(called), said("refusal.card.changed"))
    given = (tags.width_px, tags.height_px)
    stored = (inside.parts.width_px, inside.parts.height_px)
    if None not in given and sorted(side or 0 for side in given) != sorted(stored):
        raise Refused(name, Name(called), said("refusal.card.rescaled"))


def _later(taken: str | None, changed: str | None) -> bool:
    """Whether a file was changed after its picture was taken; Exif writes 2026:06:21 10:00:00."""
    try:
        both = [
            datetime.strptime((text or "")[:19], "%Y:%m:%d %H:%M:%S")  # noqa: DTZ007 - one clock
            for text in (taken, changed)
        ]
    except ValueError:
        return False
    return (both[1] - both[0]).total_seconds() > LATER_S
