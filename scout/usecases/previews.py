"""A printed edition looked at page by page."""

from __future__ import annotations

from pathlib import Path

from scout.errors import NotFound
from scout.media.pdf_pages import page_webp
from scout.store.files import write_bytes
from scout.usecases.revisions import packet_line, packet_row
from scout.usecases.shown import PacketLine
from scout.usecases.work import Work

WIDTHS_PX = (780, 1600)  # a phone's two pixels for one; a desk's


def printed(work: Work, key: int) -> PacketLine:
    """A printed edition. Raises NotFound, also where its file is gone."""
    return packet_line(packet_row(work, key)[0])


def page_picture(work: Work, key: int, page: int, width_px: int) -> Path:
    """A page as WebP, from the cache or drawn anew. Raises NotFound."""
    row, held = packet_row(work, key)
    if width_px not in WIDTHS_PX or not 1 <= page <= row.pages:
        raise NotFound("packet", key)
    drawn = work.settings.cache_dir / "pages" / f"{row.sha256}-{page}-{width_px}.webp"
    if not drawn.is_file():
        write_bytes(drawn, page_webp(held.local(), page, width_px))
    return drawn
