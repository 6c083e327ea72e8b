"""What the calculations take each kind of microphone for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from scout.records.sheet import MicKind
from scout.values import Said, said


@dataclass(frozen=True)
class MicFacts:
    """One kind of microphone.

    directivity: energy directivity factor, what it hears in front over what it hears all round.
        First-order figures are exact integrals of a + (1-a) cos; a shotgun gains about 5 in the
        middle of speech and indoors, below 1 kHz, no more than 4 (common practice)
    held: on a pole or a stand before the speaker, worn on the clothes, or on the camera
    boomed: hung on a pole over the picture as a rule
    assumed: what is to be said of that
    """

    directivity: float
    held: Literal["free", "worn", "camera"]
    boomed: bool = False
    assumed: Said | None = None


MIC_FACTS: Mapping[MicKind, MicFacts] = {
    "omni": MicFacts(1.0, "free"),
    "omni_clip": MicFacts(1.0, "worn", assumed=said("mic.worn")),
    "cardioid": MicFacts(3.0, "free", boomed=True),
    "camera": MicFacts(3.0, "camera", assumed=said("mic.on_camera")),
    "shotgun": MicFacts(5.0, "free", boomed=True, assumed=said("mic.shotgun_indoors")),
}
