"""Full run sheets and tag sheets: nothing is missing or cut, and the codes can be read by another reader."""

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from io import BytesIO
from itertools import pairwise
from uuid import UUID

from pypdf import PdfReader

from shopapi.core.rendering import render
from shopapi.customers.models import Customer
from shopapi.dispatch.rules.deck_drawing import draw, svg
from shopapi.dispatch.rules.run_sheet import RunData, SheetStop, TagSheet, lay_out_run
from shopapi.dispatch.services.printouts import tag_of
from shopapi.documents.rules import Figures
from shopapi.documents.services import render_pdf
from shopapi.machines.models import Machine
from shopapi.planner.loading.deck import Deck, DeckMove, Piece
from shopapi.planner.loading.stowage import Stowage, Trailer, stow
from tests.browser.qr_decoder import decode_qr

SIX = datetime(2026, 5, 5, 12, 0, tzinfo=UTC)
FIGURES = Figures("en-US", "USD", "America/Boise")
LONG = (
    "Grundelbacher-Featherstonehaugh Family Orchards & Vineyards Limited Partnership, c/o Estate of B. Wintersmith III"
)


def _stop(number: int) -> SheetStop:
    at = SIX + timedelta(minutes=30 * number)
    return SheetStop(
        kind="pickup",
        job=f"#{1000 + number}",
        machine="Hartvale GT 22 garden tractor",
        customer=f"Customer {number}",
        phone=f"(555) 014-22{number:02}",
        place="Packing barn",
        address="4417 Old Mill Road\nKettle Ford",
        access=f"Gate code {4400 + number}. The dog is loud and means nothing by it.",
        notes="Bring the long ramp",
        needs=["ramp", "winch"],
        trip=0 if number < 8 else 1,
        promised=(None, None),
        arrival=(at, at + timedelta(minutes=25)),
        stay=(at + timedelta(minutes=10), at + timedelta(minutes=40)),
        state="planned",
    )


def _deck() -> dict[str, object]:
    deck = Deck(430, 195, lanes=1, gap_cm=20)
    trailer = Trailer(empty_kg=780, tongue_kg=90, axle_cm=370, deck_cm=120, axles=2)
    pieces = {"a": Piece(250, 185, 110), "b": Piece(95, 130, 105)}
    found = stow(deck, trailer, pieces, ["a", "b"], [DeckMove("b", on=False), DeckMove("a", on=False)])
    assert isinstance(found, Stowage)
    drawing = draw(deck, trailer, found.legs[0], found.tow_loads[0], {"a": "Hartvale GT 22", "b": LONG}, pounds=True)
    return {"trip": 0, "leg": 1, "svg": svg(drawing), "words": render(drawing.title), "tie_downs": 8}


def _pages(pdf: bytes) -> list[str]:
    # A line may break anywhere between two words.
    return [re.sub(r"\s+", " ", page.extract_text()) for page in PdfReader(BytesIO(pdf)).pages]


def test_a_long_run_is_printed_whole_and_no_stop_is_torn() -> None:
    stops = [_stop(number) for number in range(1, 14)]
    stops[1] = replace(stops[1], customer=LONG, access="Second gate after the bridge, not the first. " * 6)
    run = RunData(
        day="May 5, 2026",
        rig="Blue truck",
        driver="Bram Aldous",
        leaves_at=SIX,
        home_at=SIX + timedelta(hours=9),
        metres=123_456,
        decks=[_deck()],
        cautions=["The ramp is steep for this machine."],
    )
    sheet = lay_out_run(run, stops, shop="Kettle Ford", shop_lines=(), figures=FIGURES, pounds=True)
    pages = _pages(render_pdf("dispatch/run.html", {"sheet": sheet}, paper_size="letter", language="en-US"))

    assert len(pages) > 2
    for number, text in enumerate(pages, 1):
        assert f"Page {number} of {len(pages)}" in text
    whole = " ".join(pages)
    # A line may break behind a hyphen, too.
    bare = whole.replace(" ", "")
    assert bare.count(LONG.replace(" ", "")) == 2
    assert whole.count("Second gate after the bridge") == 6
    on = []
    for stop in stops:
        (page,) = (at for at, text in enumerate(pages) if f"{stop.job} " in text)
        assert stop.phone in pages[page]
        assert stop.access.strip() in pages[page]
        on.append(page)
    assert all(one <= other for one, other in pairwise(on))
    # The way by the yard is said once, in front of the stop that comes after it.
    (again,) = re.finditer("Trip 2, from the yard", whole)
    assert whole.index("#1007") < again.start() < whole.index("#1008")
    for words in ("Trip 1, after 1 load or unload", "at 110 in", "77 mi"):
        assert words in whole
    # Cut short in the picture, whole below it.
    below = f"Front to back: Hartvale GT 22, 551 lb, at 30 in; {LONG}, 209 lb, at 110 in. Tie-downs"
    assert below.replace(" ", "") in bare
    assert "The ramp is steep for this machine." in pages[-1]


def test_each_span_of_time_on_the_sheet_says_what_it_is() -> None:
    run = RunData(
        day="May 5, 2026",
        rig="Blue truck",
        driver="",
        leaves_at=SIX,
        home_at=SIX,
        metres=None,
        decks=[],
        cautions=[],
    )
    stop = replace(_stop(1), promised=(SIX, SIX + timedelta(hours=1)))
    sheet = lay_out_run(
        run, [stop, replace(_stop(2), arrival=(None, None))], shop="Ford", shop_lines=(), figures=FIGURES, pounds=True
    )
    assert [[words.replace("\u202f", " ") for words in part.when] for part in sheet.stops] == [
        [
            "Promised: 6:00 AM to 7:00 AM",
            "Planned arrival: 6:30 AM to 6:55 AM",
            "Planned stay: 6:40 AM to 7:10 AM",
        ],
        ["Planned stay: 7:10 AM to 7:40 AM"],
    ]


def test_tags_hold_what_they_are_for_and_their_codes_are_read_by_others() -> None:
    """Read by our own reader of ISO/IEC 18004 symbols, which knows nothing of the library that draws them."""
    customer = Customer(name="June Castellan")
    machines = [
        Machine(id=UUID(int=number << 80), kind="chipper", make="Brannoch", model="C4", customer=customer)
        for number in range(1, 18)
    ]
    machines[1].make, machines[1].customer = "Ostermoor-Feldgrund Commercial Equipment", Customer(name=LONG)
    tags = tuple(tag_of(machine) for machine in machines)
    for machine, tag in zip(machines, tags, strict=True):
        assert decode_qr(_dark(tag.svg)) == f"http://localhost:8000/machines/{machine.id}"
    sheet = TagSheet("en-US", "Tags for 17 machines", "Kettle Ford", tags, "Kettle Ford, tags")
    pages = _pages(render_pdf("dispatch/tags.html", {"sheet": sheet}, paper_size="letter", language="en-US"))
    assert len(pages) == 2
    whole = " ".join(pages)
    for tag in tags:
        assert tag.code in whole
    # A long name ends in dots and pushes nothing off its tag: the foot of each page says the shop's name once more.
    assert whole.count("Kettle Ford") == len(tags) + len(pages)
    assert "Grundelbacher" in whole
    assert LONG not in whole


def _dark(drawn: str) -> set[tuple[int, int]]:
    """The dark modules of a code drawn as one path of strokes to the right, its quiet zone of two taken off."""
    (path,) = re.findall(r' d="([^"]+)"', drawn)
    x = y = 0.0
    found = set()
    for kind, numbers in re.findall(r"([Mmh])([-0-9. ]+)", path):
        first, *second = map(float, numbers.split())
        if kind == "h":
            found |= {(int(x) + step - 2, int(y) - 2) for step in range(int(first))}
            x += first
        elif kind == "m":
            x, y = x + first, y + second[0]
        else:
            x, y = first, second[0]
    return found
