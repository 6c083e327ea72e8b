"""What editions and papers are called: for whoever asks for a packet without printing it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, cast, get_args

from scout.packet.privacy import Reader
from scout.words.language import lists

EditionName = Literal[
    "whole",
    "day",
    "camera",
    "light",
    "sound",
    "carry",
    "camera+light",
    "camera+sound",
    "camera+carry",
    "light+sound",
    "light+carry",
    "sound+carry",
    "production",
    "owner",
    "form",
    "figures",
]
EDITIONS: tuple[EditionName, ...] = get_args(EditionName)
# whose eyes an edition is for
EDITION_READERS: Mapping[EditionName, Reader] = {
    **dict.fromkeys(EDITIONS, "crew"),
    "production": "production",
    "owner": "owner",
}
Paper = Literal["a4", "letter"]
TRADES = ("camera", "light", "sound", "carry")  # in the order of their sheets


def edition_called(text: str) -> str:
    """An edition as it is listed, the trades of one person in either order: `light+camera` too."""
    trades = text.split("+")
    return "+".join(sorted(trades, key=TRADES.index)) if set(trades) <= set(TRADES) else text


def trades_of(role: str | None) -> tuple[str, ...]:
    """The trades that a role on the crew list names, in the order of their sheets."""
    return tuple(one for one in TRADES if role and lists(f"trade_as.{one}", role))


def edition_for(role: str | None) -> EditionName | None:
    """The edition of somebody with that role on the crew list: the sheets of their trades, the whole
    packet where they have more than two; None where the role names none.
    """
    trades = trades_of(role)
    if len(trades) > 2:
        return "whole"
    return cast(EditionName, "+".join(trades)) if trades else None
