"""Where a phone can be led to and what it can call: `geo:` and `tel:` addresses, and the first as a
QR code that it reads off the page.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from reportlab.graphics.barcode import qrencoder
from reportlab.platypus.flowables import Flowable

DIGITS = "0123456789"
WHOLE = 7  # digits that a number has at the least when it is one by itself (common practice)
QUIET_MODULES = 4  # ISO/IEC 18004: the light border round a QR code


def geo_uri(latitude_deg: float, longitude_deg: float) -> str:
    """The `geo:` URI of a place, to a millionth of a degree (11 cm).

    Source: RFC 5870, 3.3 (decimal degrees, WGS-84, no exponent) and 3.4.2 (at a pole the
        longitude is written 0). The altitude is left out:
            the RFC counts it from the ellipsoid, a scout's elevation is above sea level.
    """
    longitude = 0.0 if abs(latitude_deg) == 90 else longitude_deg
    return f"geo:{_decimal(latitude_deg)},{_decimal(longitude)}"


def dialled(phone: str) -> str:
    """The first phone number in a text as a `tel:` link has it: its digits, a leading plus, and a few
    digits behind a word ("ext. 12", "x12") as the extension. Words before it ("Mobile:") are no part.

    Source: RFC 3966, 3 (a global number begins with its plus; `;ext=`). The "(0)" in +44 (0)1632 is
        dialled within the country alone (ITU-T E.123, 7), so that no link has it.
    """
    at = next((at for at, ch in enumerate(phone) if ch in f"+{DIGITS}*#"), len(phone))
    text = phone[at:]
    for mark in "/,;":  # two numbers; a stroke behind an area code has too few digits before it
        first, _, other = text.partition(mark)
        if min(len(_digits(first)), len(_digits(other))) >= WHOLE:
            text = first
    word = next((at for at, ch in enumerate(text) if ch.isalpha()), len(text))
    main, extension = text[:word].strip(), _digits(text[word:])
    if main.startswith("+"):
        main = "+" + main[1:].replace("(0)", "")
    number = "".join(ch for ch in main if ch in f"+{DIGITS}*#")
    return f"{number};ext={extension}" if 0 < len(extension) < WHOLE else number


def _digits(text: str) -> str:
    return "".join(ch for ch in text if ch in DIGITS)


def _decimal(degrees: float) -> str:
    text = f"{degrees:.6f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


@lru_cache(maxsize=64)  # the days of one place have the same
def qr_modules(text: str) -> tuple[tuple[bool, ...], ...]:
    """The dark modules of a QR code of the text, error correction M, without its quiet border."""
    code = qrencoder.QRCode(None, qrencoder.QRErrorCorrectLevel.M)
    code.addData(text)
    code.make()
    count = code.getModuleCount()
    at = range(count)
    return tuple(tuple(bool(code.isDark(row, column)) for column in at) for row in at)


def draw_qr(canvas: Any, text: str, x: float, y: float, size: float) -> None:
    """A QR code with its border in a square of `size` points whose lower left corner is at (x, y)."""
    modules = qr_modules(text)
    unit = size / (len(modules) + 2 * QUIET_MODULES)
    path = canvas.beginPath()
    for row, cells in enumerate(modules):
        top = y + size - (row + QUIET_MODULES) * unit
        start = None
        for column, dark in enumerate([*cells, False]):
            if dark and start is None:
                start = column
            elif not dark and start is not None:
                path.rect(
                    x + (start + QUIET_MODULES) * unit, top - unit, (column - start) * unit, unit
                )
                start = None
    canvas.saveState()
    canvas.setFillColorRGB(0, 0, 0)
    canvas.drawPath(path, stroke=0, fill=1)
    canvas.restoreState()


class QrCode(Flowable):  # type: ignore[misc]  # ReportLab carries no types
    """A QR code of `size` points."""

    def __init__(self, text: str, size: float) -> None:
        super().__init__()
        self.text, self.width, self.height = text, size, size

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        draw_qr(self.canv, self.text, 0, 0, self.width)
