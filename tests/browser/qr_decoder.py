"""Reads a QR code of version 5 at level M, undamaged, by ISO/IEC 18004 (tables of versions and masks from memory)."""

from collections.abc import Callable
from itertools import chain

SIDE = 37
DATA_PER_BLOCK, BLOCKS = 43, 2
FORMAT_MASK = 0x5412
MASKS: tuple[Callable[[int, int], int], ...] = (
    lambda x, y: (x + y) % 2,
    lambda x, y: y % 2,
    lambda x, y: x % 3,
    lambda x, y: (x + y) % 3,
    lambda x, y: (x // 3 + y // 2) % 2,
    lambda x, y: x * y % 2 + x * y % 3,
    lambda x, y: (x * y % 2 + x * y % 3) % 2,
    lambda x, y: ((x + y) % 2 + x * y % 3) % 2,
)


def decode_qr(dark: set[tuple[int, int]]) -> str:
    """The text of the dark modules (x, y), counted from 0 without the quiet zone."""
    format_modules = [(x, 8) for x in (0, 1, 2, 3, 4, 5, 7, 8)] + [(8, y) for y in (7, 5, 4, 3, 2, 1, 0)]
    format_bits = int("".join(str(int(at in dark)) for at in format_modules), 2) ^ FORMAT_MASK
    assert format_bits >> 13 == 0b00, "level M"
    mask = MASKS[format_bits >> 10 & 0b111]
    bits = "".join(str(int((at in dark) ^ (mask(*at) == 0))) for at in _data_modules())
    words = [int(bits[at : at + 8], 2) for at in range(0, DATA_PER_BLOCK * BLOCKS * 8, 8)]
    data = "".join(f"{word:08b}" for word in chain(*(words[block::BLOCKS] for block in range(BLOCKS))))
    assert data[:4] == "0100", "bytes"
    length = int(data[4:12], 2)
    return bytes(int(data[at : at + 8], 2) for at in range(12, 12 + 8 * length, 8)).decode()


def _data_modules() -> list[tuple[int, int]]:
    """The modules that hold data, in reading order: pairs of columns from the right, alternately up and down."""
    found, up, right = [], True, SIDE - 1
    while right > 0:
        right -= right == 6
        for y in range(SIDE - 1, -1, -1) if up else range(SIDE):
            found += [(x, y) for x in (right, right - 1) if not _is_function_pattern(x, y)]
        up, right = not up, right - 2
    return found


def _is_function_pattern(x: int, y: int) -> bool:
    corner = (x < 9 and y < 9) or (x >= SIDE - 8 and y < 9) or (x < 9 and y >= SIDE - 8)
    return corner or 6 in (x, y) or (28 <= x <= 32 and 28 <= y <= 32)
