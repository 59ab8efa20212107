"""Random JSON documents: keys and texts beyond ASCII, numbers of every size, lone surrogates."""

import math
import struct
from random import Random
from typing import Any

# By UTF-16 code units the tractor (U+1F69C, a pair of surrogates) sorts before U+FB33 and U+FFFD, by code points after.
CHARACTERS = (
    *'aAbz019_/\\"',
    *map(chr, (0x00, 0x08, 0x0A, 0x1F, 0x7F, 0x80, 0xF6, 0x0301, 0x0323, 0x05D3, 0x20AC, 0x2028, 0x2029, 0x212B)),
    *map(chr, (0xFB33, 0xFEFF, 0xFFFD, 0xFFFF, 0x1F69C, 0x1F600, 0x10FFFF)),
)
HALVES = ("\ud83d", "\ude9c")
NESTED = ("object", "object", "array", "text", "number")
MOST_EXACT = 2**53 - 1


def draw_document(random: Random, depth: int = 0) -> Any:
    """A JSON value, nested at most three deep; in about one of ten something that has no canonical form."""
    kind = random.choice(NESTED if depth < 3 else ("text", "number", "literal"))
    if kind == "object":
        return {draw_key(random): draw_document(random, depth + 1) for _ in range(random.randrange(6))}
    if kind == "array":
        return [draw_document(random, depth + 1) for _ in range(random.randrange(5))]
    if kind == "number":
        return draw_number(random)
    return draw_text(random) if kind == "text" else random.choice((None, True, False))


def draw_key(random: Random) -> str:
    """A text without a backslash: Node 24.19 parses a later key U+FFFD as that one in a like object."""
    return draw_text(random).replace("\\", "")


def draw_text(random: Random) -> str:
    if random.random() < 0.01:
        return "half " + random.choice(HALVES)
    return "".join(random.choices(CHARACTERS, k=random.randrange(5)))


def draw_number(random: Random) -> float:
    """An integer that doubles hold, a short decimal, or a double of random bits."""
    match random.randrange(3):
        case 0:
            return random.choice((0, -1, MOST_EXACT, -MOST_EXACT, random.randrange(-(10**6), 10**9)))
        case 1:
            return random.choice((-0.0, 1.0, 1e21, 1e-7, round(random.uniform(-1e4, 1e4), random.randrange(6))))
    (number,) = struct.unpack(">d", random.getrandbits(64).to_bytes(8))
    return float(number) if math.isfinite(number) else 0.5
