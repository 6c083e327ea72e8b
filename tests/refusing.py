"""What is refused, by the code of its reason and not by its words."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from scout.errors import Refused
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
