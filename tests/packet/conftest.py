"""The demonstration, printed once for all tests that read it."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime

import pytest
from pypdf import PdfReader

from scout import places
from scout.packet.content import PacketContent
from scout.packet.names import EditionName, Paper
from scout.pages.packet import crew
from scout.pages.packet.printing import PRINTER
from scout.settings import Settings
from scout.store import engine as databases
from scout.units import Units
from scout.usecases.demo import load_demo
from scout.usecases.packets import Heading, print_packet
from scout.usecases.revisions import Wanted, packet_file
from scout.usecases.work import Work, open_work, prepare
from scout.values import said
from scout.words import Reader, reading

BEFORE = datetime(2026, 6, 1, 9, tzinfo=UTC)  # when all its days are still to come


@dataclass(frozen=True)
class Demo:
    """The demonstration in a folder of its own; what is printed twice is worked out once."""

    work: Work
    production: int

    def printed(
        self, edition: EditionName = "whole", units: Units = "metric", on: date | None = None
    ) -> PdfReader:
        """An edition, read back."""
        return PdfReader(io.BytesIO(self.bytes(edition, units, on)))

    def bytes(
        self, edition: EditionName = "whole", units: Units = "metric", on: date | None = None
    ) -> bytes:
        """An edition as its file."""
        wanted = Wanted(edition, on, units=units)
        kept = print_packet(self.work, self.production, PRINTER, wanted)
        return packet_file(self.work, kept.id)[0].read_bytes()

    def content(self, units: Units = "metric", paper: Paper = "a4") -> PacketContent:
        """What the whole edition is set from."""
        heading = Heading(1, said("packet.at", at=self.work.now()), None, None, None, paper, units)
        with reading(Reader(units)):
            return crew.compose(self.work, self.production, "whole", None, heading)


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Demo]:
    settings = Settings(data_dir=tmp_path_factory.mktemp("demo"))
    prepare(settings)
    with open_work(settings) as now:
        work = replace(now, now=lambda: BEFORE)
        _, _, production = load_demo(work, places.DEMO_DATA)
        yield Demo(work, production)
    databases.engine(settings.url).dispose()


@pytest.fixture(scope="session")
def demo_packet(demo: Demo) -> PdfReader:
    """Its whole edition."""
    return demo.printed()
