"""`check` finds what is missing or changed, and counts what nobody names."""

from __future__ import annotations

import io

from PIL import Image

from scout.records import LocationRecord, ProductionRecord
from scout.store import models
from scout.usecases import checking, locations, photos, productions
from scout.usecases.work import Work


def picture(colour: str) -> io.BytesIO:
    held = io.BytesIO()
    Image.new("RGB", (8, 8), colour).save(held, "PNG")
    return io.BytesIO(held.getvalue())


def test_what_is_whole_has_no_faults(work: Work) -> None:
    place = locations.add_location(work, LocationRecord(name="Mill"))
    for colour in ("red", "red", "blue"):
        photos.add_photo(work, "location", place, picture(colour), f"{colour}.png")
    assert checking.check(work) == checking.CheckReport(
        photos=2, packets=0, faults=(), unused_originals=0
    )  # no recordings, nothing left over


def test_what_is_missing_changed_or_nobody_s_is_told(work: Work) -> None:
    place = locations.add_location(work, LocationRecord(name="Mill"))
    lost, changed, binned = (
        photos.add_photo(work, "location", place, picture(c), f"{c}.png").id
        for c in ("red", "blue", "green")
    )
    photos.original(work, lost)[0].local().unlink()
    photos.original(work, changed)[0].local().write_bytes(b"other")
    original = photos.original(work, binned)[0].local()
    photos.bin_photo(work, binned, 1)
    original.unlink()
    work.files.put(io.BytesIO(b"nobody's"), most_bytes=100)
    work.add(
        models.Packet(
            production_id=_production(work),
            revision=1,
            made_at=work.now(),
            paper="a4",
            pages=1,
            sha256="0" * 64,
            changes=[],
            held={},
        ),
        "printed",
    )
    work.commit()
    report = checking.check(work)
    assert tuple(str(fault) for fault in report.faults) == (
        f"photo {lost} (red.png) is missing",
        f"photo {changed} (blue.png) does not hold what was stored (its SHA-256 differs)",
        # what lies in the bin must be there when it is taken out
        f"photo {binned} (green.png) is missing",
        "packet 1 (revision 1) is missing",
    )
    assert report.unused_originals == 1
    assert [name.split("/")[0] for name in report.left_over] == [
        "originals"
    ]  # named, so that it can be found and deleted


def _production(work: Work) -> int:
    return productions.add_production(work, ProductionRecord(title="Short"))
