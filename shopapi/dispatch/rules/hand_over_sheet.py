"""The text of a signed hand-over sheet."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from shopapi.documents.rules import Figures
from shopapi.quotes.rules.pdf import SignatureDrawing, SignatureFacts, draw_signature

TITLES: Mapping[str, str] = {
    "pickup": "Machine picked up",
    "return": "Machine returned",
    "visit": "Machine handed over",
}
SIGNED: Mapping[str, str] = {
    "pickup": "I\u2019m handing over this machine as described above.",
    "return": "I have received this machine as described above.",
    "visit": "As described above.",
}
# The phone's labels of the checklist keys (`pwa/src/domain/words/handover.ts`). Any other text was typed.
PARTS: Mapping[str, str] = {
    "hood": "Hood and body",
    "deck": "Mower deck",
    "tires": "Tires",
    "seat": "Seat and controls",
    "guards": "Guards and chute",
}
STATES: Mapping[str, str] = {"good": "Good", "worn": "Worn", "damaged": "Damaged", "missing": "Missing"}
FUELS: Mapping[str, str] = {
    "unknown": "Not checked",
    "empty": "Empty",
    "low": "Low",
    "half": "Half",
    "full": "Full",
    "electric": "Electric",
}
MADE: Mapping[str, str] = {
    "key_out": "Key out",
    "parking_brake": "Brake set",
    "blades_stopped": "Blades stopped, attachment down",
    "fuel_off": "Fuel shut off",
    "battery_off": "Battery switched off or disconnected",
}
LEFT: Mapping[str, str] = {
    "ran_here": "Started and ran on site",
    "brake_set": "Brake set, key out",
    "blades_off": "Blades off",
    "work_shown": "Showed the work done",
    "old_parts": "Returned old parts",
    "fuel_as_was": "Fuel level as received",
}
ANOMALIES: Mapping[str, str] = {
    "lower": "meter lower than before",
    "too_fast": "higher than possible since the last reading",
}
RUNS: Mapping[bool | None, str] = {True: "It runs", False: "Doesn\u2019t run", None: "Not tried"}
# What is asked at each kind of hand-over, one screen each on the phone. What was not asked is not printed as left open.
ASKED: Mapping[str, Sequence[str]] = {
    "pickup": ("pictures", "condition", "meter", "keeps", "safe"),
    "return": ("pictures", "meter", "left"),
    "visit": ("left",),
}
OPEN_CAUTION = "Do not use until this is repaired. Follow the manufacturer\u2019s manual."


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
    amount_due_minor: int | None
    pictures: int
    matches: bool | None
    ink: SignatureFacts


@dataclass(frozen=True)
class HandOverSheet:
    language: str
    title: str
    shop_name: str
    shop_lines: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    # None: nobody was asked.
    condition: tuple[tuple[str, str, str], ...] | None
    open_items: tuple[str, ...]
    open_caution: str
    due: str
    signed: str
    signer: str
    when: str
    matches: str
    ink: SignatureDrawing
    foot: str


def lay_out_hand_over(over: HandOverData, *, shop: str, shop_lines: tuple[str, ...], figures: Figures) -> HandOverSheet:
    """Lay out the sheet of a hand-over. Its time is in the shop's zone, with the zone's name."""
    title, when = TITLES[over.kind], figures.moment(over.at)
    matches = "Matches what was signed." if over.matches else "Differs from what was signed."
    return HandOverSheet(
        language=figures.locale,
        title=title,
        shop_name=shop,
        shop_lines=shop_lines,
        facts=tuple((label, value) for label, value in _facts(over, when, figures) if value),
        condition=_condition(over),
        open_items=tuple(over.acknowledged),
        open_caution=OPEN_CAUTION,
        due="" if over.amount_due_minor is None else figures.money(over.amount_due_minor),
        signed=SIGNED[over.kind],
        signer=over.ink.signer_name,
        when=when,
        matches="" if over.matches is None else matches,
        ink=draw_signature(over.ink, when),
        foot=f"{shop}, {title.lower()}, {over.job}, {when}",
    )


def _condition(over: HandOverData) -> tuple[tuple[str, str, str], ...] | None:
    if not over.condition and "condition" not in ASKED[over.kind]:
        return None
    return tuple((PARTS.get(part, part), STATES[state], note) for part, state, note in over.condition)


def _facts(over: HandOverData, when: str, figures: Figures) -> Iterator[tuple[str, str]]:
    """Labels and values; an empty value was not asked, or not answered where that says nothing."""
    asked = ASKED[over.kind]
    yield "Job", over.job
    yield "Machine", over.machine
    yield "Customer", over.customer
    yield "Place", over.place
    yield "When", when
    yield "Shop's representative", over.member
    unread = "Not read" if "meter" in asked else ""
    meter = unread if over.hours is None else f"{figures.number(over.hours)} h"
    yield "Hour meter", f"{meter}, {ANOMALIES[over.meter_anomaly]}" if over.meter_anomaly else meter
    yield "Keys", over.keys
    yield "Fuel", "" if over.fuel == "unknown" and "keeps" not in asked else FUELS.get(over.fuel, over.fuel)
    yield "Included with it", over.accessories
    yield "Does it run?", "" if over.runs is None and "keeps" not in asked else RUNS[over.runs]
    yield "Ready to haul", "\n".join(MADE.get(key, key) for key in over.made_safe)
    yield "Left with the customer", "\n".join(LEFT.get(key, key) for key in over.as_left)
    yield "Photos", str(over.pictures) if over.pictures else "None" if "pictures" in asked else ""
