"""Drawing of the loaded deck: from above, to scale, front to the left, with the weights on ball and axles.

`draw` makes data and `svg` turns it into text, so that a screen, the run sheet and tests use the same data. Meaning
is carried by lines and words, never by colour. Units are real centimetres; each machine is labelled with its distance
from the front, which can be measured with a tape.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from html import escape

from shopapi.core.errors import Context, Reason
from shopapi.dispatch.rules.figures import length_text, weight_text
from shopapi.documents.rules.fonts import families
from shopapi.planner.loading.deck import Deck, DeckLayout
from shopapi.planner.loading.stowage import TowLoads, Trailer

# Margin around the deck for labels, and the height of letters.
MARGIN_CM = 40
LETTERS_CM = 30
# A picture of its own takes no font from the page around it; those of the page come first.
FONTS = f"{families()}, system-ui, sans-serif"
TIRE_CM = (66, 20)
# The approximate width of a letter relative to its height, and the smallest scale before text is cut short.
LETTER_WIDE = 0.6
SQUEEZED = 0.7


@dataclass(frozen=True)
class DrawnBox:
    """A rectangle with centred lines of text. `kind`: deck, machine or tire."""

    kind: str
    left: float
    top: float
    width: float
    height: float
    words: tuple[str, ...] = ()


@dataclass(frozen=True)
class DrawnLine:
    """A straight line: one of the tongue's two bars, an axle, or the mark of the load's centre."""

    kind: str
    x1: float
    y1: float
    x2: float
    y2: float


@dataclass(frozen=True)
class DrawnText:
    """A line of text centred at x; y is its base line."""

    x: float
    y: float
    text: str


@dataclass(frozen=True)
class Drawing:
    width: float
    height: float
    title: Reason
    boxes: tuple[DrawnBox, ...]
    lines: tuple[DrawnLine, ...]
    words: tuple[DrawnText, ...]


def draw(
    deck: Deck,
    trailer: Trailer,
    layout: DeckLayout,
    tow_loads: TowLoads,
    names: Mapping[str, str],
    *,
    missing: Sequence[str] = (),
    pounds: bool = False,
) -> Drawing:
    """Draw the load of one leg. `names`: the label of each machine. `pounds`: weights in pounds, else kilograms.

    `missing`: machines aboard without weight or length, which are in none of the figures.
    """
    left, top = MARGIN_CM, 3 * LETTERS_CM
    deck_left = left + trailer.deck_cm
    length, width_cm, lane = float(deck.length_cm), float(deck.width_cm), float(deck.lane_cm)
    middle = top + width_cm / 2
    boxes = [DrawnBox("deck", deck_left, top, length, width_cm)]
    lines = [
        DrawnLine("tongue", left, middle, deck_left, top + width_cm * 0.2),
        DrawnLine("tongue", left, middle, deck_left, top + width_cm * 0.8),
    ]
    spread = TIRE_CM[0] * 1.2
    for axle in range(trailer.axles):
        x = left + trailer.axle_cm + (axle - (trailer.axles - 1) / 2) * spread
        above, below = top - TIRE_CM[1], top + width_cm
        # Outside of the deck only, so that it crosses no label.
        lines += [DrawnLine("axle", x, y, x, y + TIRE_CM[1]) for y in (above, below)]
        boxes += [DrawnBox("tire", x - TIRE_CM[0] / 2, y, *TIRE_CM) for y in (above, below)]
    for placed in layout:
        front = float(placed.front_cm)
        wide = min(float(placed.piece.width_cm) or lane, placed.span * lane)
        lane_top = top + placed.lane * lane + (placed.span * lane - wide) / 2
        place = f"at {length_text(front, inches=pounds)}"
        inside = (names.get(placed.key, placed.key), weight_text(float(placed.piece.kg), pounds=pounds), place)
        boxes.append(DrawnBox("machine", deck_left + front, lane_top, float(placed.piece.length_cm), wide, inside))
    share = f"{100 * tow_loads.tongue_share:.1f} %"
    bottom = top + width_cm + TIRE_CM[1] + 1.2 * LETTERS_CM
    words = [
        DrawnText(left + trailer.deck_cm / 2, LETTERS_CM, f"ball {weight_text(tow_loads.tongue_kg, pounds=pounds)}"),
        DrawnText(left + trailer.deck_cm / 2, 2.2 * LETTERS_CM, share),
        DrawnText(left + trailer.axle_cm, bottom, f"axles {weight_text(tow_loads.axles_kg, pounds=pounds)}"),
    ]
    if missing:
        unmeasured = [names.get(key, key) for key in missing]
        bottom += 1.2 * LETTERS_CM
        words.append(DrawnText(deck_left + length / 2, bottom, f"not counted: {', '.join(unmeasured)}"))
    width = max(left + trailer.axle_cm + spread * trailer.axles, deck_left + length) + MARGIN_CM
    words = [replace(line, x=_within(line, width)) for line in words]
    machines = [
        Reason(
            "machine_on_deck",
            {
                "name": names.get(placed.key, placed.key),
                "weight": weight_text(float(placed.piece.kg), pounds=pounds),
                "front": length_text(float(placed.front_cm), inches=pounds),
            },
        )
        for placed in layout
    ]
    about: Context = {"count": len(layout), "weight": weight_text(tow_loads.gross_kg, pounds=pounds)}
    if missing:
        about = {**about, "all": len(layout) + len(missing), "machines": machines, "missing": unmeasured}
        title = Reason("deck_partly", about)
    else:
        title = Reason("deck_loaded", {**about, "machines": machines}) if machines else Reason("deck", about)
    return Drawing(width, bottom + LETTERS_CM, title, tuple(boxes), tuple(lines), tuple(words))


def _within(line: DrawnText, width: float) -> float:
    """The x nearest to the line's own at which its text is not cut off."""
    half = len(line.text) * LETTER_WIDE * LETTERS_CM / 2
    return min(max(line.x, half), width - half)


def svg(drawing: Drawing) -> str:
    """The drawing as an SVG element in the current text colour."""
    size = f"0 0 {_n(drawing.width)} {_n(drawing.height)}"
    look = f'font-family="{escape(FONTS)}" font-size="{LETTERS_CM}" fill="none" stroke="currentColor" stroke-width="3"'
    parts = [f'<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="{size}" {look}>']
    parts += [
        f'<line class="{line.kind}" x1="{_n(line.x1)}" y1="{_n(line.y1)}" x2="{_n(line.x2)}" y2="{_n(line.y2)}"/>'
        for line in drawing.lines
    ]
    for box in drawing.boxes:
        heavy = ' stroke-width="6"' if box.kind == "machine" else ""
        parts.append(
            f'<rect class="{box.kind}" x="{_n(box.left)}" y="{_n(box.top)}" width="{_n(box.width)}"'
            f' height="{_n(box.height)}"{heavy}/>'
        )
        parts += _inside(box)
    parts += [_text(words.x, words.y, words.text) for words in drawing.words]
    return "".join([*parts, "</svg>"])


def _inside(box: DrawnBox) -> Iterator[str]:
    """The text of a box, in the largest letters that fit."""
    if not box.words:
        return
    line = min(1.2 * LETTERS_CM, (box.height - LETTERS_CM / 3) / len(box.words))
    letters, room = line / 1.2, box.width - LETTERS_CM / 2
    first = box.top + (box.height - line * len(box.words)) / 2 + letters * 0.9
    for number, text in enumerate(box.words):
        most = int(room / (LETTER_WIDE * letters * SQUEEZED))
        kept = text if len(text) <= most else f"{text[: max(0, most - 1)].rstrip()}…"
        wide = len(kept) * letters * LETTER_WIDE > room
        fit = f' textLength="{_n(room)}" lengthAdjust="spacingAndGlyphs"' if wide else ""
        yield _text(box.left + box.width / 2, first + number * line, kept, f' font-size="{_n(letters)}"{fit}')


def _text(x: float, y: float, text: str, more: str = "") -> str:
    return (
        f'<text x="{_n(x)}" y="{_n(y)}" text-anchor="middle" fill="currentColor" stroke="none"{more}>'
        f"{escape(text)}</text>"
    )


def _n(number: float) -> str:
    return f"{number:.1f}".rstrip("0").rstrip(".")
