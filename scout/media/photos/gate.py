"""How many pixels are drawn at once in this process: a picture waits until there is room for it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from threading import Condition

# About 11 bytes a pixel stand in memory while a picture is drawn (measured on PNG): 1.1 GB at most.
MOST_PIXELS = 100_000_000


class Gate:
    """Lets in as many pixels as fit together; what is larger than all of it goes alone."""

    def __init__(self, most_pixels: int = MOST_PIXELS) -> None:
        self._most, self._inside = most_pixels, 0
        self.waiting = 0
        self._changed = Condition()

    @property
    def inside(self) -> int:
        """How many pixels are being drawn."""
        return self._inside

    @contextmanager
    def room_for(self, pixels: int) -> Iterator[None]:
        """Wait until so many pixels fit, and keep their room for as long as the block lasts."""
        with self._changed:
            self.waiting += 1
            try:
                self._changed.wait_for(
                    lambda: not self._inside or self._inside + pixels <= self._most
                )
            finally:
                self.waiting -= 1
            self._inside += pixels
        try:
            yield
        finally:
            with self._changed:
                self._inside -= pixels
                self._changed.notify_all()


GATE = Gate()
