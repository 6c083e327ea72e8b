"""Findings of power: circuits, sockets and cables."""

from __future__ import annotations

from scout.assess.answers import Finding, RoomAssessment
from scout.assess.setup import Setup


def findings(setup: Setup, found: RoomAssessment) -> tuple[Finding, ...]:
    """What this comes to for a setup."""
    return ()
