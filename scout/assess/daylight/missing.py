"""What is missing, as facts to measure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from scout.assess.answers import act
from scout.values import Many, Said, Word

MOST_FACTS = 3  # named in one act; one fact of several surfaces is one to name


def measuring(why: Said, facts: Sequence[str] = ()) -> dict[str, Any]:
    """The fields of a finding that is not known: its level, what it rests on, and the act that ends
    it, of the facts given or else of those that the reason names.
    """
    paths = tuple(facts) or tuple(facts_of(why))
    named = list(dict.fromkeys(map(_in_one_breath, paths)))[:MOST_FACTS]
    asked = Many(tuple(Word("fact", path) for path in paths if _in_one_breath(path) in named))
    acts = (act("measure", facts=asked),) if paths else ()
    return {"level": "unknown", "rests_on": paths, "acts": acts, "why": why}


def _in_one_breath(path: str) -> str:
    """What paths share that are said together: the field, of surfaces."""
    before, _, field = path.rpartition(".")
    return field if "surfaces." in before else path


def facts_of(why: Said) -> Iterator[str]:
    """The paths of the facts that a reason names."""
    for _, value in why.values:
        for one in value if isinstance(value, Many) else (value,):
            if isinstance(one, Said):
                yield from facts_of(one)
            elif isinstance(one, Word) and one.vocabulary == "fact":
                yield one.key
