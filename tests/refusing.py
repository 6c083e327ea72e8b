"""What is refused, by its path and the code of its reason, not by its words."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from scout.errors import Refused, RefusedMany
from scout.values import Said


@contextmanager
def refused(code: str, path: str | None = None) -> Iterator[None]:
    """What is done within it is refused for a reason of this code, and at this path where one is
    given.
    """
    with pytest.raises(Refused) as caught:
        yield
    because = caught.value.because
    assert isinstance(because, Said), because
    assert because.code == code
    assert path is None or caught.value.path == path


@contextmanager
def refuses(*faults: str) -> Iterator[None]:
    """What is done within must be refused for exactly these faults, each `path code`."""
    with pytest.raises((Refused, RefusedMany)) as caught:
        yield
    error = caught.value
    refusals = error.refusals if isinstance(error, RefusedMany) else (error,)
    assert [fault(one) for one in refusals] == list(faults)


def fault(refusal: Refused) -> str:
    """A refusal as `path code`."""
    because = refusal.because
    assert isinstance(because, Said), f"{because!r} is a text, not a message"
    return f"{refusal.path} {because.code}"
