"""The text of a signed hand-over sheet, in the language in which it was signed."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from shopapi.bench.rules.run_test_texts import TestedLines
from shopapi.core.languages import Texts
from shopapi.dispatch.rules.hand_over_texts import TEXTS
from shopapi.documents.rules import Figures
from shopapi.quotes.rules.left_safety import LeftUnrepaired, left_text
from shopapi.quotes.rules.pdf import SignatureDrawing, SignatureFacts, draw_signature

# The phone's keys of its checklists. Any other text was typed.
PARTS = frozenset({"hood", "deck", "tires", "seat", "guards"})
FUELS = frozenset({"unknown", "empty", "low", "half", "full", "electric"})
MADE = frozenset({"key_out", "parking_brake", "blades_stopped", "fuel_off", "battery_off"})
LEFT = frozenset({"ran_here", "brake_set", "blades_off", "work_shown", "old_parts", "fuel_as_was"})
RUNS: Mapping[bool | None, str] = {True: "runs_yes", False: "runs_no", None: "runs_not_tried"}
# What is asked at each kind of hand-over, one screen each on the phone. What was not asked is not printed as left open.
ASKED: Mapping[str, Sequence[str]] = {
    "pickup": ("pictures", "condition", "meter", "keeps", "safe"),
    "return": ("pictures", "meter", "left"),
    "visit": ("left",),
}


@dataclass(frozen=True)
class HandOverData:
    """A signed hand-over as plain data. `condition`: (part, state, note); `hours` None: the meter was not read."""

    kind: str
    at: datetime
    job: str
    machine: str
    customer: str
    place: str
    member: str
    condition: Sequence[tuple[str, str, str]]
    hours: Decimal | None
    meter_anomaly: str
    keys: str
    fuel: str
    accessories: str
    runs: bool | None
    made_safe: Sequence[str]
    as_left: Sequence[str]
    acknowledged: Sequence[str]
    # Safety findings that the customer was told of before and wants left.
    left_unrepaired: Sequence[LeftUnrepaired]
    # What was tested before it went out; None: nothing was recorded, or it is picked up.
    tested: TestedLines | None
    amount_due_minor: int | None
    pictures: int
    matches: bool | None
    ink: SignatureFacts


@dataclass(frozen=True)
class HandOverSheet:
    t: Texts
    language: str
    title: str
    shop_name: str
    shop_lines: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    # None: nobody was asked.
    condition: tuple[tuple[str, str, str], ...] | None
    open_items: tuple[str, ...]
    due: str
    signed: str
    signer: str
    when: str
    matches: str
    ink: SignatureDrawing
    foot: str


def lay_out_hand_over(over: HandOverData, *, shop: str, shop_lines: tuple[str, ...], figures: Figures) -> HandOverSheet:
    """Lay out the sheet of a hand-over in the language of `figures`. Its time is in the shop's zone, which it names."""
    texts = TEXTS[figures.language]
    title, when = texts[f"title_{over.kind}"], figures.moment(over.at)
    return HandOverSheet(
        t=texts,
        language=figures.locale,
        title=title,
        shop_name=shop,
        shop_lines=shop_lines,
        facts=tuple((label, value) for label, value in _facts(over, when, texts, figures) if value),
        condition=_condition(over, texts),
        open_items=tuple(over.acknowledged),
        due="" if over.amount_due_minor is None else figures.money(over.amount_due_minor),
        signed=texts[f"signed_{over.kind}"],
        signer=over.ink.signer_name,
        when=when,
        matches="" if over.matches is None else texts["matches" if over.matches else "differs"],
        ink=draw_signature(over.ink, when, figures.language),
        foot=f"{shop}, {title.lower()}, {over.job}, {when}",
    )


def _condition(over: HandOverData, texts: Texts) -> tuple[tuple[str, str, str], ...] | None:
    if not over.condition and "condition" not in ASKED[over.kind]:
        return None
    return tuple(
        (said_of(texts, "part", part, PARTS), texts[f"state_{state}"], note) for part, state, note in over.condition
    )


def said_of(texts: Texts, list_name: str, key: str, known: Collection[str]) -> str:
    """What the phone showed for a key of one of its lists; other text as it was typed."""
    return texts[f"{list_name}_{key}"] if key in known else key


def _facts(over: HandOverData, when: str, texts: Texts, figures: Figures) -> Iterator[tuple[str, str]]:
    """Labels and values; an empty value was not asked, or not answered where that says nothing."""
    asked = ASKED[over.kind]
    yield texts["job"], over.job
    yield texts["machine"], over.machine
    yield texts["customer"], over.customer
    yield texts["place"], over.place
    yield texts["when"], when
    yield texts["member"], over.member
    unread = texts["not_read"] if "meter" in asked else ""
    meter = unread if over.hours is None else f"{figures.number(over.hours)} h"
    yield texts["meter"], f"{meter}, {texts[f'meter_{over.meter_anomaly}']}" if over.meter_anomaly else meter
    yield texts["keys"], over.keys
    fuel = "" if over.fuel == "unknown" and "keeps" not in asked else said_of(texts, "fuel", over.fuel, FUELS)
    yield texts["fuel"], fuel
    yield texts["included"], over.accessories
    runs = "" if over.runs is None and "keeps" not in asked else texts[RUNS[over.runs]]
    yield texts["runs"], runs
    yield texts["ready"], "\n".join(said_of(texts, "made", key, MADE) for key in over.made_safe)
    yield texts["left"], "\n".join(said_of(texts, "left", key, LEFT) for key in over.as_left)
    yield (
        texts["unrepaired_by_wish"],
        "\n".join(left_text(one, texts, figures) for one in over.left_unrepaired),
    )
    if over.tested is not None:
        yield texts["tested"], "\n".join(over.tested.passed)
        yield texts["tests_failed"], "\n".join(over.tested.failed)
        yield texts["not_tested"], "\n".join(over.tested.not_tested)
    yield texts["photos"], str(over.pictures) if over.pictures else texts["no_photos"] if "pictures" in asked else ""
