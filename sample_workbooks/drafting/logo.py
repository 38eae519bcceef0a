"""The invented office's logo, drawn here: a square with a trunk that branches.

Written as an uncompressed PNG (ISO/IEC 15948), so that the bytes are the same with every zlib.
"""

import struct
import zlib
from functools import cache
from math import hypot

SIZE_PX = 96
_FINE = 3  # samples a pixel and direction
_LINES = (  # x, y, x, y in hundredths of the side
    (22, 50, 50, 50),
    (50, 50, 76, 24),
    (50, 50, 78, 50),
    (50, 50, 76, 76),
)
_DOTS = ((22, 50, 8), (76, 24, 8), (78, 50, 8), (76, 76, 8))


@cache
def png(colour: str) -> bytes:
    """The logo in one colour (`#RRGGBB`) on white, 16 shades."""
    levels = [[_shade(x, y) for x in range(SIZE_PX)] for y in range(SIZE_PX)]
    rows = b"".join(
        b"\0" + bytes(a << 4 | b for a, b in zip(row[::2], row[1::2], strict=True)) for row in levels
    )
    ink = bytes.fromhex(colour.lstrip("#"))
    palette = bytes(round(255 + (part - 255) * level / 15) for level in range(16) for part in ink)
    header = struct.pack(">IIBBBBB", SIZE_PX, SIZE_PX, 4, 3, 0, 0, 0)
    parts = ((b"IHDR", header), (b"PLTE", palette), (b"IDAT", zlib.compress(rows, 0)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(*part) for part in parts)


def _chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def _shade(x_px: int, y_px: int) -> int:
    steps = [(step + 0.5) / _FINE for step in range(_FINE)]
    inked = sum(_inked((x_px + i) * 100 / SIZE_PX, (y_px + j) * 100 / SIZE_PX) for i in steps for j in steps)
    return round(15 * inked / _FINE**2)


def _inked(x: float, y: float) -> bool:
    corner = hypot(max(abs(x - 50) - 34, 0), max(abs(y - 50) - 34, 0))
    line = any(_distance(x, y, *ends) < 3.2 for ends in _LINES)
    dot = any(hypot(x - cx, y - cy) < radius for cx, cy, radius in _DOTS)
    return corner < 14 and not line and not dot


def _distance(x: float, y: float, x1: float, y1: float, x2: float, y2: float) -> float:
    along = ((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / ((x2 - x1) ** 2 + (y2 - y1) ** 2)
    along = min(1.0, max(0.0, along))
    return hypot(x - x1 - along * (x2 - x1), y - y1 - along * (y2 - y1))
