"""Measured test spectra used by more than one test: N. Ohta 1997, as distributed with
colour-science, 380 to 730 nm by 10 nm.
"""

from __future__ import annotations

from scout.calc.bounce.spectra import resampled
from scout.calc.geometry import FloatArray

RED = (
    ".052 .052 .051 .050 .049 .049 .049 .049 .048 .047 .045 .044 .044 .044 .044 .044 .045 .047 .050 .057 .072 .109 .192 .332 .486 .598 .654 .686 "
    ".700 .707 .718 .724 .729 .730 .727 .729"
)
GREEN = (
    ".055 .057 .058 .059 .059 .062 .065 .070 .078 .091 .113 .140 .180 .244 .324 .363 .355 .323 .281 .238 .196 .158 .124 .101 .089 .084 .080 .077 "
    ".075 .075 .078 .082 .088 .089 .090 .089"
)
BLUE_SKY = (
    ".113 .174 .266 .320 .336 .337 .335 .331 .322 .310 .293 .276 .260 .243 .225 .208 .198 .191 .183 .172 .163 .157 .150 .144 .137 .130 .123 "
    ".118 .112 .108 .105 .104 .103 .102 .102 .102"
)
LIGHT_SKIN = (
    ".103 .141 .182 .197 .201 .205 .212 .224 .240 .262 .282 .293 .301 .321 .322 .298 .292 .300 .295 .305 .358 .435 .494 .530 .550 .564 .574 "
    ".590 .605 .624 .652 .682 .713 .745 .762 .783"
)


def values(chart: str) -> list[float]:
    return [float(cell) for cell in chart.split()]


def measured(chart: str) -> FloatArray:
    """The spectrum on the program's grid."""
    return resampled(380, 10, values(chart))
