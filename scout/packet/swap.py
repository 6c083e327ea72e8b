"""Which pages of the last print to swap: found page by page from a hash of what each shows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from scout.values import Many, Said, said


@dataclass(frozen=True)
class Swap:
    """Pages of the old print to take out, and pages of the new one to put in."""

    take_out: tuple[int, ...]
    put_in: tuple[int, ...]


def swap_of(before: Sequence[str], after: Sequence[str]) -> Swap:
    """What turns one print into the other; pages that only got another number stay.

    before, after: of each page in order, the hash of what it shows apart from revision and number
    """
    out, new = list[int](), list[int]()
    matcher = SequenceMatcher(None, before, after, autojunk=False)
    for kind, i, j, k, end in matcher.get_opcodes():
        if kind != "equal":
            out += range(i + 1, j + 1)
            new += range(k + 1, end + 1)
    return Swap(tuple(out), tuple(new))


def swap_said(swap: Swap, since: int) -> Said:
    """What to do with the print of the revision `since`."""
    if not swap.put_in and not swap.take_out:
        return said("packet.swap_none", since=since)
    if swap.put_in == swap.take_out:
        return said("packet.swap", since=since, pages=_runs(swap.put_in), n=len(swap.put_in))
    if not swap.put_in:
        return said("packet.swap_out", since=since, out=_runs(swap.take_out))
    if not swap.take_out:
        return said("packet.swap_in", since=since, into=_runs(swap.put_in))
    return said("packet.swap_both", since=since, out=_runs(swap.take_out), into=_runs(swap.put_in))


def _runs(pages: Iterable[int]) -> Many:
    """Pages in order as single ones and stretches."""
    runs: list[list[int]] = []
    for page in pages:
        if runs and page == runs[-1][1] + 1:
            runs[-1][1] = page
        else:
            runs.append([page, page])
    parts = [
        said("packet.one_page", page=first)
        if first == last
        else said("packet.pages", first=first, last=last)
        for first, last in runs
    ]
    return Many(tuple(parts), "and")
