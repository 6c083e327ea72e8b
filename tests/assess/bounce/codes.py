"""Codes of messages, so that tests ask what is meant and not how it is said."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any


def code(message: Any) -> str:
    """The code of a message; of one said of a thing, the code of what is said."""
    return str(message["what"].code if message.code == "bounce.of" else message.code)


def codes(messages: Iterable[Any]) -> list[str]:
    return [code(message) for message in messages]


def facts(message: Any) -> list[str]:
    """The keys of the facts that a message asks for."""
    return [fact.key for fact in message["facts"]]
