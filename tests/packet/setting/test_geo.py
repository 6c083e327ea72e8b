"""The geo: URI and the QR code that carries it, read back by the rules of the code's own standard."""

from __future__ import annotations

import io
import re

import pytest
from reportlab.pdfgen.canvas import Canvas

from scout.packet.setting.geo import QUIET_MODULES, dialled, draw_qr, geo_uri


@pytest.mark.parametrize(
    ("latitude", "longitude", "uri"),
    [
        (52.2053, 0.1197, "geo:52.2053,0.1197"),
        (-22.51, -41.755, "geo:-22.51,-41.755"),
        (0.0, -0.0, "geo:0,0"),
        (
            48.2010,
            16.3695,
            "geo:48.201,16.3695",
            # Source: RFC 5870, 6.1 writes this place geo:48.2010,16.3695; end zeros mean nothing
            # (3.4.4)
        ),
        (90.0, 45.0, "geo:90,0"),  # Source: RFC 5870, 3.4.2: at the poles the longitude is 0
        (0.0000004, 179.9999999, "geo:0,180"),
    ],
)
def test_uri_is_decimal_degrees_without_exponent(
    latitude: float, longitude: float, uri: str
) -> None:
    assert geo_uri(latitude, longitude) == uri


def drawn_modules(text: str) -> list[list[bool]]:
    """The dark squares as they are in the page, one point a module."""
    count = 0
    for version in range(1, 7):
        held = io.BytesIO()
        canvas = Canvas(held, pageCompression=0)
        count = 17 + 4 * version
        draw_qr(canvas, text, 0, 0, count + 2 * QUIET_MODULES)
        boxes = re.findall(r"(\S+) (\S+) (\S+) (\S+) re", "\n".join(canvas._code))
        if max(float(x) + float(w) for x, _, w, _ in boxes) == pytest.approx(count + QUIET_MODULES):
            break
    grid = [[False] * count for _ in range(count)]
    for x, y, w, _ in ((float(a), float(b), float(c), float(d)) for a, b, c, d in boxes):
        row = count - 1 - round(y - QUIET_MODULES)
        for column in range(round(x - QUIET_MODULES), round(x - QUIET_MODULES + w)):
            grid[row][column] = True
    return grid


def read_qr(grid: list[list[bool]]) -> str:
    """The text of a clean QR code of version 2 or 3 with error correction M (one block), without
    correcting errors.

    Source: ISO/IEC 18004: 7.3 placement, 7.8 masks, 7.9 format information, 7.4 byte mode.
    """
    size = len(grid)
    form = [grid[8][column] for column in range(5)]
    bits = [bit != mask for bit, mask in zip(form, (True, False, True, False, True), strict=True)]
    assert bits[:2] == [False, False], "error correction level M"
    number = bits[2] * 4 + bits[3] * 2 + bits[4]
    masks = [
        lambda i, j: (i + j) % 2 == 0,
        lambda i, j: i % 2 == 0,
        lambda i, j: j % 3 == 0,
        lambda i, j: (i + j) % 3 == 0,
        lambda i, j: (i // 2 + j // 3) % 2 == 0,
        lambda i, j: i * j % 2 + i * j % 3 == 0,
        lambda i, j: (i * j % 2 + i * j % 3) % 2 == 0,
        lambda i, j: ((i + j) % 2 + i * j % 3) % 2 == 0,
    ]

    def serves(i: int, j: int) -> bool:
        corner = (i < 9 and j < 9) or (i < 9 and j >= size - 8) or (i >= size - 8 and j < 9)
        return corner or i == 6 or j == 6 or (abs(i - (size - 7)) <= 2 and abs(j - (size - 7)) <= 2)

    stream, column, up = [], size - 1, True
    while column > 0:
        if column == 6:
            column -= 1
        for row in range(size - 1, -1, -1) if up else range(size):
            stream += [
                grid[row][j] != masks[number](row, j)
                for j in (column, column - 1)
                if not serves(row, j)
            ]
        column, up = column - 2, not up

    def whole(start: int, count: int) -> int:
        return int("".join("01"[bit] for bit in stream[start : start + count]), 2)

    assert whole(0, 4) == 4, "byte mode"
    return bytes(whole(12 + 8 * at, 8) for at in range(whole(4, 8))).decode("ascii")


@pytest.mark.parametrize(
    "uri", ["geo:52.2053,0.1197", "geo:-22.51,-41.755123", "geo:-89.123456,-179.123456"]
)
def test_the_drawn_code_says_the_uri(uri: str) -> None:
    assert read_qr(drawn_modules(uri)) == uri


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        ("01632 960101", "01632960101"),
        ("+44 1632 960-101", "+441632960101"),  # RFC 3966, 3: a global number begins with its plus
        ("+44 (0)1632 960101", "+441632960101"),  # ITU-T E.123, 7: not dialled with the country
        ("(01632) 960101", "01632960101"),
        ("+1 201 555 0111 ext. 22", "+12015550111;ext=22"),  # RFC 3966, 3: `;ext=`
        ("112", "112"),
        ("ring the bell", ""),
        # common practice: what people write around a number
        ("Tel.: +44 1632 960999", "+441632960999"),
        ("Mobile: 07700 900123", "07700900123"),
        ("01632 960201 / 07700 900123", "01632960201"),
        ("01632 960201 or 07700 900123", "01632960201"),
        ("030/123456", "030123456"),
        ("01632 960101 (mobile)", "01632960101"),
        ("01632 960101 x12", "01632960101;ext=12"),
    ],
)
def test_a_phone_number_as_its_link_has_it(typed: str, number: str) -> None:
    assert dialled(typed) == number
