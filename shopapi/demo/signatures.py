"""Invented signatures: a name written as strokes of a pen, the same strokes for the same name.

Letters are a few points each, joined by smooth, slanted curves: the first of a word are nearly readable, the rest is
a wave.
"""

import hashlib
import unicodedata
from collections.abc import Iterator, Sequence

WIDTH, HEIGHT = 640, 240
BOX = 10_000

Point = tuple[float, float]

# Points of a pen from the start of a letter, in widths of a small letter; y grows upwards from the baseline.
_LOOPS: dict[str, tuple[Point, ...]] = {
    "a": ((0.5, 0.85), (0.1, 0.7), (0.05, 0.15), (0.4, 0.05), (0.6, 0.8), (0.6, 0.1), (0.85, 0.2)),
    "b": ((0.4, 1.9), (0.15, 1.8), (0.1, 0.1), (0.5, 0.05), (0.55, 0.6), (0.3, 0.6), (0.8, 0.55)),
    "c": ((0.6, 0.75), (0.3, 0.9), (0.05, 0.45), (0.3, 0.0), (0.75, 0.25)),
    "d": ((0.5, 0.8), (0.05, 0.6), (0.2, 0.0), (0.6, 0.6), (0.75, 1.9), (0.6, 0.1), (0.9, 0.2)),
    "e": ((0.5, 0.45), (0.45, 0.85), (0.1, 0.6), (0.2, 0.0), (0.75, 0.3)),
    "f": ((0.5, 1.7), (0.3, 1.9), (0.25, 0.2), (0.2, -0.8), (0.4, -0.5), (0.3, 0.2), (0.7, 0.3)),
    "g": ((0.5, 0.8), (0.1, 0.6), (0.3, 0.1), (0.6, 0.8), (0.5, -0.8), (0.15, -0.6), (0.8, 0.2)),
    "h": ((0.4, 1.9), (0.15, 1.7), (0.1, 0.0), (0.35, 0.8), (0.6, 0.6), (0.6, 0.05), (0.85, 0.25)),
    "i": ((0.2, 0.8), (0.2, 0.1), (0.45, 0.2)),
    "j": ((0.3, 0.8), (0.25, -0.7), (0.0, -0.6), (0.5, 0.2)),
    "k": ((0.4, 1.9), (0.1, 1.6), (0.1, 0.0), (0.5, 0.8), (0.2, 0.45), (0.6, 0.0), (0.8, 0.25)),
    "l": ((0.4, 1.7), (0.2, 1.9), (0.1, 0.2), (0.3, 0.0), (0.55, 0.25)),
    "m": ((0.1, 0.8), (0.1, 0.0), (0.3, 0.8), (0.45, 0.0), (0.65, 0.8), (0.8, 0.05), (1.0, 0.25)),
    "n": ((0.1, 0.8), (0.1, 0.0), (0.35, 0.8), (0.55, 0.05), (0.8, 0.25)),
    "o": ((0.4, 0.85), (0.05, 0.5), (0.3, 0.0), (0.65, 0.45), (0.4, 0.8), (0.85, 0.65)),
    "p": ((0.15, 0.8), (0.1, -0.8), (0.2, 0.6), (0.55, 0.75), (0.5, 0.1), (0.2, 0.1), (0.8, 0.25)),
    "q": ((0.5, 0.8), (0.1, 0.5), (0.3, 0.05), (0.6, 0.8), (0.6, -0.8), (0.8, -0.4), (0.85, 0.2)),
    "r": ((0.1, 0.7), (0.25, 0.9), (0.3, 0.6), (0.35, 0.05), (0.65, 0.3)),
    "s": ((0.35, 0.9), (0.2, 0.6), (0.5, 0.3), (0.25, 0.0), (0.7, 0.2)),
    "t": ((0.35, 1.5), (0.25, 0.1), (0.4, 0.0), (0.65, 0.25)),
    "u": ((0.1, 0.8), (0.15, 0.05), (0.5, 0.2), (0.55, 0.8), (0.6, 0.05), (0.85, 0.25)),
    "v": ((0.1, 0.8), (0.35, 0.0), (0.6, 0.8), (0.85, 0.7)),
    "w": ((0.1, 0.8), (0.25, 0.0), (0.5, 0.7), (0.65, 0.0), (0.9, 0.8), (1.05, 0.7)),
    "x": ((0.1, 0.8), (0.35, 0.4), (0.6, 0.0), (0.8, 0.3)),
    "y": ((0.1, 0.8), (0.25, 0.1), (0.55, 0.8), (0.45, -0.8), (0.1, -0.6), (0.8, 0.25)),
    "z": ((0.1, 0.8), (0.6, 0.8), (0.1, 0.0), (0.5, -0.3), (0.2, -0.7), (0.8, 0.2)),
}
_READABLE = 3
_TALL = 1.75
_STEPS = 4


def sign(name: str) -> list[list[list[int]]]:
    """Strokes of `[x, y, milliseconds, pressure]` in a box of 10,000 each way, y downwards as on a screen."""
    wobble = _wobble(name)
    strokes: list[list[Point]] = []
    pen = 0.0
    for word in _words(name):
        line: list[Point] = []
        marks: list[list[Point]] = []
        for place, letter in enumerate(word):
            grown = _TALL if place == 0 else 1.0
            # After the readable letters the pen stays near the baseline.
            kept = 1.0 if place < _READABLE else max(0.25, 1.0 - 0.22 * (place - _READABLE + 1))
            points = [
                (pen + x * grown * 0.9 + 0.06 * next(wobble), y * grown * kept + 0.08 * next(wobble))
                for x, y in _LOOPS[letter]
            ]
            line += points
            if letter == "t" and kept > 0.5:
                marks.append([(pen - 0.1, 1.1 + 0.2 * next(wobble)), (pen + 0.9, 1.3 + 0.2 * next(wobble))])
            if letter in "ij" and kept > 0.5:
                dot = pen + 0.35 + 0.1 * next(wobble)
                marks.append([(dot, 1.3), (dot + 0.08, 1.22)])
            pen = points[-1][0] + (0.15 if place == 0 else 0.0)
        # The last letter trails off.
        line.append((pen + 0.9 + 0.4 * next(wobble), 0.25 + 0.3 * next(wobble)))
        strokes += [_smooth(line), *marks]
        pen += 0.7
    return _timed(_fitted(strokes))


def _words(name: str) -> list[str]:
    plain = unicodedata.normalize("NFKD", name).casefold()
    words = ["".join(letter for letter in word if letter in _LOOPS) for word in plain.split()]
    return [word for word in words if word and word not in ("dr", "mr", "mrs", "ms")]


def _wobble(name: str) -> Iterator[float]:
    """An endless pseudo-random sequence between -1 and 1, the same for the same name."""
    turn = 0
    while True:
        for byte in hashlib.sha256(f"{name}/{turn}".encode()).digest():
            yield byte / 127.5 - 1
        turn += 1


def _smooth(points: Sequence[Point]) -> list[Point]:
    """A Catmull-Rom curve through the points."""
    padded = [points[0], *points, points[-1]]
    curve = [points[0]]
    for before, start, end, after in zip(padded, padded[1:], padded[2:], padded[3:], strict=False):
        for step in range(1, _STEPS + 1):
            t = step / _STEPS
            curve.append(
                (
                    _between(before[0], start[0], end[0], after[0], t),
                    _between(before[1], start[1], end[1], after[1], t),
                )
            )
    return curve


def _between(a: float, b: float, c: float, d: float, t: float) -> float:
    return 0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3)


def _fitted(strokes: Sequence[Sequence[Point]]) -> list[list[Point]]:
    """The strokes slanted, on a slightly rising baseline, scaled to the box with a margin."""
    leaning = [[(x + 0.25 * y, y + 0.03 * x) for x, y in stroke] for stroke in strokes]
    xs = [x for stroke in leaning for x, _ in stroke]
    ys = [y for stroke in leaning for _, y in stroke]
    scale = min(0.8 * WIDTH / (max(xs) - min(xs)), 0.7 * HEIGHT / (max(ys) - min(ys)))
    left = (WIDTH - scale * (max(xs) - min(xs))) / 2 - scale * min(xs)
    top = (HEIGHT + scale * (max(ys) - min(ys))) / 2 + scale * min(ys)
    return [
        [((left + scale * x) / WIDTH * BOX, (top - scale * y) / HEIGHT * BOX) for x, y in stroke] for stroke in leaning
    ]


def _timed(strokes: Sequence[Sequence[Point]]) -> list[list[list[int]]]:
    """The strokes with the time of each point: slower in turns, with a pause between strokes."""
    timed: list[list[list[int]]] = []
    clock = 0.0
    for stroke in strokes:
        written: list[list[int]] = []
        last = stroke[0]
        for x, y in stroke:
            way = abs(x - last[0]) + abs(y - last[1])
            clock += 6 + way / 90
            pressure = max(180, min(900, round(850 - way / 2)))
            written.append([round(x), round(y), round(clock), pressure])
            last = (x, y)
        timed.append(written)
        clock += 140
    return timed
