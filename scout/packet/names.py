"""What editions and papers are called: for whoever asks for a packet without printing it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, get_args

from scout.packet.privacy import Reader

EditionName = Literal[
    "whole",
    "day",
    "camera",
    "light",
    "sound",
    "carry",
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
