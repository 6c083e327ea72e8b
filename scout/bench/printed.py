"""One print by a process that does nothing else, as a worker's or a command's does: `scout bench`
itself holds libraries that no print loads.
"""

from __future__ import annotations

import json
import re
import resource
import sys
from dataclasses import asdict, dataclass
from pathlib import Path

from scout.bench.measure import seconds
from scout.settings import Settings


@dataclass(frozen=True)
class Printed:
    """What a process of its own measured of one print."""

    seconds: float
    peak_mb: float
    bytes: int


def child() -> None:
    """Print once and say what it took."""
    from scout.pages.packet.printing import PRINTER
    from scout.usecases.packets import print_packet
    from scout.usecases.revisions import packet_file
    from scout.usecases.work import open_work

    settings = Settings.from_environment()
    prints: list[Path] = []

    def whole() -> None:
        with open_work(settings) as work:
            printed = print_packet(work, 1, PRINTER)
            prints.append(packet_file(work, printed.id)[0])

    took = seconds(whole)
    print(json.dumps(asdict(Printed(took, peak_mb(), prints[0].stat().st_size))))  # noqa: T201


def peak_mb() -> float:
    """The most memory that this process had at once. On Linux `getrusage` begins with what the process
    had that started this one, so what the kernel says of this program alone is asked.
    """
    status = Path("/proc/self/status")
    if status.exists():
        found = re.search(r"VmHWM:\s+(\d+) kB", status.read_text())
        if found:
            return int(found[1]) * 1024 / 1e6
    unit = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / 1e6
