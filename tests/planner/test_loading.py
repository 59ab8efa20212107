"""Loading and towing against published worked examples and properties of statics.

Pounds and inches of the sources are put in as they are where only ratios matter.
"""

from fractions import Fraction
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopapi.core.units import KG_A_POUND, pounds
from shopapi.dispatch.messages import MESSAGES
from shopapi.dispatch.rules.cautions import ramp_cautions, tie_down_cautions, towing_cautions
from shopapi.dispatch.rules.deck_drawing import draw, svg
from shopapi.planner.loading.deck import Blocked, Deck, DeckMove, Piece, deck_layouts
from shopapi.planner.loading.ramp import Ramp, check_ramp, shortest_cm
from shopapi.planner.loading.stowage import (
    Stowage,
    StowageFailure,
    Trailer,
    Truck,
    Weight,
    center_from_scale,
    side_of,
    stow,
    tow_loads,
)
from shopapi.planner.loading.tie_downs import (
    CHAIN,
    CM_A_FOOT,
    WEBBING,
    TieDown,
    chain_wll,
    check_tie_downs,
    count_by_length,
    count_of_machine,
)

# trailer-bodybuilders.com, tongue weight by a rental trailer maker's engineer: axle 100 in behind the ball, load 88 in
# behind it, empty 800 lb with 80 lb on the ball, 2,500 lb in all. (It prints 11.86 %; its own pounds are 11.36 %.)
PUBLISHED = Trailer(empty_kg=800, tongue_kg=80, axle_cm=100, deck_cm=40)


def test_published_tongue_weight() -> None:
    pull = tow_loads(PUBLISHED, [Weight(1700, 88)])

    assert (pull.gross_kg, round(pull.tongue_kg, 6)) == (2500, 284)
    assert round(pull.tongue_share, 4) == 0.1136


def test_places_of_two_machines_determine_the_tongue() -> None:
    # Two of 700 lb at 60 and 130 in leave 150 lb (6.8 %); both at 120 in lift the truck by 200 lb.
    light = tow_loads(PUBLISHED, [Weight(700, 60), Weight(700, 130)])
    lifting = tow_loads(PUBLISHED, [Weight(700, 120), Weight(700, 120)])

    assert [round(light.tongue_kg, 6), round(lifting.tongue_kg, 6)] == [150, -200]
    assert [caution.code for caution in towing_cautions(PUBLISHED, light, loaded=True)] == ["tongue_light"]
    assert [caution.code for caution in towing_cautions(PUBLISHED, lifting, loaded=True)] == ["tongue_lifts"]


weights = st.lists(st.builds(Weight, st.floats(1, 2000), st.floats(10, 600), st.floats(-100, 100)), max_size=6)


@given(weights, st.floats(100, 400), st.floats(100, 2000), st.floats(0, 0.3))
def test_tongue_and_axles_carry_the_gross_weight(loads: list[Weight], axle: float, empty: float, share: float) -> None:
    trailer = Trailer(empty, share * empty, axle, 50)
    pull = tow_loads(trailer, loads)

    assert pull.tongue_kg + pull.axles_kg == pytest.approx(pull.gross_kg)
    # The second formula: moments about the axle instead of the ball.
    moment = share * empty * axle + sum(load.kg * (axle - load.x_cm) for load in loads)
    assert pull.tongue_kg * axle == pytest.approx(moment, abs=1e-6 * (1 + abs(moment)) + 1e-3)


@given(st.floats(10, 2000), st.floats(10, 500))
def test_center_is_recovered_from_a_scale(kg: float, x: float) -> None:
    pull = tow_loads(PUBLISHED, [Weight(kg, x)])

    assert center_from_scale(PUBLISHED, kg, pull.tongue_kg) == pytest.approx(x, rel=1e-6)


def test_the_smallest_margin_is_named() -> None:
    truck = Truck(ready_kg=2400, gvwr_kg=3000, gcwr_kg=5000, hitch_kg=2300, hitch_tongue_kg=230, ball_kg=2000,
                  rear_ready_kg=1100, rear_gawr_kg=1700, wheelbase_cm=350, overhang_cm=140)  # fmt: skip
    trailer = Trailer(
        800, 80, 300, 90, axles=2, gvwr_kg=3000, gawr_kg=1500, tires_kg=2600, coupler_kg=2700, truck=truck
    )

    pull = tow_loads(trailer, [Weight(1000, 270)])

    assert pull.smallest is not None
    assert (pull.smallest.rating, pull.smallest.limit_kg) == ("hitch_tongue", 230)
    assert pull.smallest.load_kg == pytest.approx(180)
    left = {margin.rating: round(margin.kg, 3) for margin in pull.margins}
    # The lever of the overhang: 180 kg on the ball put 252 kg on the rear axle (moments about the front axle).
    assert left == {
        "hitch_tongue": 50, "ball": 200, "truck_rear_axle": 348, "truck_gvwr": 420, "hitch": 500,
        "trailer_axle": 690, "gcwr": 800, "coupler": 900, "tires": 980, "trailer_gvwr": 1200,
    }  # fmt: skip


def test_exceeded_rating_and_lateral_load_are_cautioned() -> None:
    trailer = Trailer(800, 80, 100, 40, gvwr_kg=2400)
    codes = [
        caution.code for caution in towing_cautions(trailer, tow_loads(trailer, [Weight(1700, 88, 30)]), loaded=True)
    ]

    assert codes == ["rating_passed", "side_offset"]


TRAILER = Trailer(empty_kg=500, tongue_kg=60, axle_cm=340, deck_cm=100)
DECK = Deck(length_cm=420, width_cm=180, gap_cm=10)


def test_places_are_found_that_bring_the_tongue_into_its_range() -> None:
    pieces = {"heavy": Piece(600, 180), "light": Piece(60, 120)}
    found = stow(DECK, TRAILER, pieces, ["heavy", "light"], [DeckMove("light", on=False), DeckMove("heavy", on=False)])

    assert isinstance(found, Stowage)
    for layout, pull in zip(found.legs, found.tow_loads, strict=True):
        assert not layout or TRAILER.tongue_low <= pull.tongue_share <= TRAILER.tongue_high
    # First off stands last.
    assert [placed.key for placed in found.legs[0]] == ["heavy", "light"]
    assert [len(layout) for layout in found.legs] == [2, 1, 0]


def test_too_heavy_machine_or_too_short_deck_names_the_failed_rule() -> None:
    rated = Trailer(500, 60, 280, 100, gvwr_kg=1000)
    heavy = stow(DECK, rated, {"a": Piece(600, 180)}, ["a"], [DeckMove("a", on=False)])
    long = stow(DECK, rated, {"a": Piece(100, 421)}, ["a"], [DeckMove("a", on=False)])
    # All of it behind the axle, whatever one does.
    behind = stow(Deck(100, 180), Trailer(500, 60, 280, 400), {"a": Piece(400, 90)}, ["a"], [DeckMove("a", on=False)])

    assert [heavy, long] == [
        StowageFailure("rating", {"rating": "trailer_gvwr", "over_kg": 100}),
        StowageFailure("deck_space", {"stop": "a"}),
    ]
    assert isinstance(behind, StowageFailure)
    assert behind.code == "tongue"


def test_machines_in_separate_lanes_do_not_block() -> None:
    pieces = {"a": Piece(100, 200, 80), "b": Piece(100, 200, 80)}
    moves = [DeckMove("b", on=True), DeckMove("a", on=False)]

    assert list(deck_layouts(Deck(410, 90), pieces, ["a"], moves)) == [Blocked("a", "b")]
    assert any(not isinstance(way, Blocked) for way in deck_layouts(Deck(410, 180, lanes=2), pieces, ["a"], moves))


def test_ramps() -> None:
    # Common practice in mower manuals, no single source: 15 degrees at most, and four times as long as the deck is
    # high; asin(1/4) = 14.48 degrees.
    quarter = check_ramp(Ramp(length_cm=4, height_cm=1))
    assert (round(quarter.degrees, 2), quarter.within) == (14.48, True)
    # An 18 in deck takes 69.5 in of ramp at 15 degrees.
    assert round(shortest_cm(18), 1) == 69.5
    # Break-over: 2 atan(2 c / wheelbase), the geometry of a crest; 10 cm under 130 cm clears 17.5 degrees (ours).
    low = check_ramp(Ramp(190, 60), wheelbase_cm=130, clearance_cm=10)
    assert (round(low.over_degrees or 0, 1), low.clears, low.within) == (17.5, False, False)
    assert [caution.code for caution in ramp_cautions(low, steepest=15)] == ["ramp_steep", "belly_low"]
    with pytest.raises(ValueError, match="ramp_too_short"):
        check_ramp(Ramp(60, 60))


@pytest.mark.parametrize(
    ("feet", "weight", "blocked", "least"),
    [
        # 49 CFR 393.110 as quoted on FMCSA's rules page.
        (5, 1100, False, 1), (5, 1101, False, 2), (5.01, 100, False, 2), (10, 5000, False, 2), (10.01, 100, False, 3),
        (20, 100, False, 3), (25, 100, False, 4), (20, 100, True, 2), (20.5, 100, True, 3), (1, 1, True, 1),
        # 49 CFR 393.110(b): up to 5 ft long and over 1,100 lb takes two.
        (4, 1500, False, 2),
    ],
)  # fmt: skip
def test_the_count_of_393_110(feet: float, weight: int, blocked: bool, least: int) -> None:  # noqa: FBT001
    assert count_by_length(Fraction(str(feet)) * CM_A_FOOT, weight * KG_A_POUND, blocked=blocked) == least


def test_the_canadian_example() -> None:
    # National Safety Code standard 10 as a Canadian driver's manual shows it: 3.65 m and 600 kg take three tie-downs
    # of 300 kg together.
    assert count_by_length(365, 600) == 3
    assert check_tie_downs(600, 3, []).needed_kg == 300


def test_four_chains_are_enough_for_the_handbook_machine() -> None:
    # FMCSA handbook, chapter 10: 11,000 lb on four 3/8 in grade 70 chains, each direct: 13,200 lb against 5,500.
    chains = [TieDown((chain_wll("3/8", "70"),))] * 4
    held = check_tie_downs(11_000 * KG_A_POUND, count_of_machine(400, 11_000 * KG_A_POUND, shop_least=1), chains)

    assert (held.needed, held.holds) == (4, True)
    assert [pounds(held.there_kg), pounds(held.needed_kg)] == [13_200, 5500]
    # Over the machine and down on the other side each counts whole.
    assert check_tie_downs(1, 1, [TieDown((6600, 5400), crosses=True)]).there_kg == 5400
    weak = check_tie_downs(600, 4, [TieDown((500,))])
    assert [one.code for one in tie_down_cautions(weak, strength_known=True)] == ["tie_downs_few", "tie_downs_weak"]
    assert [one.code for one in tie_down_cautions(held, strength_known=True)] == ["tie_downs", "tie_downs_hold"]


def test_load_exactly_on_the_limit_passes() -> None:
    # Half of every whole weight on straps of exactly that limit: floating point misses some of these ties.
    for weight in range(1, 2_000):
        strap = TieDown((weight * KG_A_POUND / 3,), crosses=True)
        kg = weight * KG_A_POUND
        assert count_of_machine(100, kg, shop_least=1, each=strap) == max(2, 1 if weight <= 1100 else 2)
        assert check_tie_downs(kg, 1, [TieDown((kg / 2,), crosses=True)]).holds
        assert not check_tie_downs(kg + Fraction(1, 10**9), 1, [TieDown((kg / 2,), crosses=True)]).holds


def test_the_default_limits_of_393_108() -> None:
    # As tabled by jjkeller.com; unmarked chain counts as grade 30.
    assert [pounds(chain_wll(size)) for size in CHAIN] == [1300, 1900, 2650, 3700, 4500]
    assert [CHAIN["1/2"][grade] for grade in ("43", "70", "80", "100")] == [9200, 11300, 12000, 15000]
    assert WEBBING == {"1 3/4": 1750, "2": 2000, "3": 3000, "4": 4000}
    with pytest.raises(KeyError):
        chain_wll("7/16", "100")


SPACE = "{http://www.w3.org/2000/svg}"


def test_the_picture_is_to_scale_and_escapes_names() -> None:
    """A unit of the drawing is a centimetre: its lines match the figures of the rules."""
    deck = Deck(600, 220, lanes=2, gap_cm=20)
    trailer = Trailer(empty_kg=780, tongue_kg=90, axle_cm=430, deck_cm=120, axles=2)
    pieces = {"a": Piece(300, 180, 105), "b": Piece(160, 150, 90), "c": Piece(120, 140, 60)}
    names = {"a": "Mill & <Sons>", "b": "A name far longer than the machine that bears it is", "c": "Ariel"}
    found = stow(deck, trailer, pieces, ["a", "b", "c"], [DeckMove(key, on=False) for key in "cba"])
    assert isinstance(found, Stowage)

    texts = set()
    for leg, pull in zip(found.legs, found.tow_loads, strict=True):
        text = svg(draw(deck, trailer, leg, pull, names, pounds=True))
        root = ET.fromstring(text)  # noqa: S314 - our own text
        # A picture of its own has the letters of nothing around it.
        assert root.get("font-family", "").endswith("sans-serif")
        (drawn,) = _boxes(root, "deck")
        assert drawn[2:] == (600, 220)
        # The ball is where the tongue's bars meet.
        (ball, middle), *others = {
            (_of(bar, "x1"), _of(bar, "y1")) for bar in root.iterfind(f"{SPACE}line[@class='tongue']")
        }
        assert (others, drawn[0] - ball, middle) == ([], 120, drawn[1] + 110)
        axles = [_of(axle, "x1") - ball for axle in root.iterfind(f"{SPACE}line[@class='axle']")]
        assert sum(axles) / len(axles) == pytest.approx(430)
        machines = _boxes(root, "machine")
        assert [(x - drawn[0], w, h) for x, _, w, h in machines] == [
            (placed.front_cm, placed.piece.length_cm, placed.piece.width_cm) for placed in leg
        ]
        assert [y + h / 2 - middle for _, y, _, h in machines] == [side_of(deck, placed) for placed in leg]
        width, height = map(float, root.get("viewBox", "").split()[2:])
        for x, y, w, h in (drawn, *machines, *_boxes(root, "tire")):
            assert min(x, y) >= 0
            assert (x + w <= width, y + h <= height) == (True, True)
        outside = [words for words in root.iterfind(f"{SPACE}text") if not words.get("font-size")]
        letters = _of(root, "font-size")
        for each in outside:
            half = len(each.text or "") * 0.6 * letters / 2
            assert half <= _of(each, "x") <= width - half
            assert letters * 0.8 <= _of(each, "y") <= height - 0.25 * letters
        words = [words.text or "" for words in root.iterfind(f"{SPACE}text")]
        assert {f"at {round(placed.front_cm / 2.54)} in" for placed in leg} <= set(words)
        assert f"{100 * pull.tongue_share:.1f} %" in words
        assert f"ball {round(pull.tongue_kg / float(KG_A_POUND)):,} lb" in words
        _words_stay_inside(root, machines)
        texts |= set(words)
    assert "Mill & <Sons>" in texts


def _of(mark: ET.Element, name: str) -> float:
    return float(mark.get(name, "nan"))


def _boxes(root: ET.Element, kind: str) -> list[tuple[float, float, float, float]]:
    """Left, top, width and height."""
    found = root.iterfind(f"{SPACE}rect[@class='{kind}']")
    return [(_of(box, "x"), _of(box, "y"), _of(box, "width"), _of(box, "height")) for box in found]


def _words_stay_inside(root: ET.Element, machines: list[tuple[float, float, float, float]]) -> None:
    """Three lines in each machine; letters stand above their line and hang a quarter below it."""
    inside = [words for words in root.iterfind(f"{SPACE}text") if words.get("font-size")]
    assert len(inside) == 3 * len(machines)
    for number, words in enumerate(inside):
        x, y, w, h = machines[number // 3]
        size, line = _of(words, "font-size"), _of(words, "y")
        assert y <= line - 0.8 * size
        assert line + 0.25 * size <= y + h
        room = _of(words, "textLength") if words.get("textLength") else len(words.text or "") * 0.6 * size
        assert room <= w
        assert _of(words, "x") == pytest.approx(x + w / 2)


def test_cautions_promise_nothing() -> None:
    assert not [words for words in MESSAGES.values() if "safe" in words.lower() or "legal" in words.lower()]
