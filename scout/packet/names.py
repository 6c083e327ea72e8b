"""What editions and papers are called: for whoever asks for a packet without printing it."""

from __future__ import annotations

from typing import Literal, get_args

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
Paper = Literal["a4", "letter"]
