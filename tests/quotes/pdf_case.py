"""A quote of an invented shop, as the tests of its PDF need it: in any state, of any length."""

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from shopapi.core.languages import Language
from shopapi.quotes.rules import QuoteLine, QuoteTotals, ShopPrices, compute_totals, json_digest, offer_document
from shopapi.quotes.rules.pdf import (
    ComplaintFacts,
    CustomerFacts,
    DecisionFacts,
    MachineFacts,
    QuoteFacts,
    QuoteSheet,
    ShopHead,
    SignatureFacts,
    SiteFacts,
    lay_out,
)
from shopapi.quotes.rules.price_book import DepositRule, LaborRate, PartBand, Supplies, TaxProfile, TaxRate, Travel

SHOP = ShopHead(
    address="418 Cutbank Road\nHagerstone, ID 83332",
    phone="208 555 0142",
    email="bench@tolliver.example",
    locale="en-US",
    zone="America/Boise",
)
CUSTOMER = CustomerFacts(
    person="",
    phone="208 555 0177",
    email="marla.quist@mail.example",
    address="77 Ditch Lane\nHagerstone, ID 83332",
    exempt_reason="",
)
MACHINE = MachineFacts(year=2009, engine_make="Corvane", engine_model="V2-18", engine_serial="C18-0042219", tag="T-52")
SITE = SiteFacts(label="Orchard barn", address="North gate, 2 mi past the bridge")
COMPLAINT = ComplaintFacts(
    words="It screeches when I put the blades in and will not stop turning when I let them out.",
    happens_when="after ten minutes, worse uphill",
)
OFFERED_AT = datetime(2026, 11, 25, 21, 5, tzinfo=UTC)
DECIDED_AT = datetime(2026, 11, 25, 21, 14, 9, tzinfo=UTC)
RECEIVED_AT = datetime(2026, 11, 26, 2, 40, tzinfo=UTC)

WORK: tuple[dict[str, Any], ...] = (
    {
        "kind": "labor",
        "rank": "safety",
        "words": "Put the blade brake right and adjust its cable",
        "included": "With: test of the stop time. Without: a new cable, should it prove frayed.",
        "hours": Decimal("1.25"),
    },
    {
        "kind": "part",
        "rank": "safety",
        "words": "Brake band",
        "quantity": Decimal(1),
        "unit_cost_minor": 3123,
    },
    {
        "kind": "labor",
        "rank": "needed",
        "words": "Rebuild the left deck spindle",
        "included": "With: two bearings, seal, grease. Without: a new housing.",
        "hours": Decimal("2.5"),
    },
    {
        "kind": "part",
        "rank": "needed",
        "words": "Spindle bearing",
        "quantity": Decimal(2),
        "unit_cost_minor": 911,
    },
    {"kind": "fee", "rank": "needed", "work": "diagnosis", "words": "Looking it over and measuring"},
    {"kind": "travel", "rank": "needed", "words": "Fetch and bring back", "distance": Decimal(24)},
    {
        "kind": "part",
        "rank": "needed",
        "words": "Starter, rebuilt",
        "quantity": Decimal(1),
        "unit_price_minor": 11800,
        "core_minor": 2500,
    },
    {
        "kind": "labor",
        "rank": "advised",
        "words": "Sharpen and balance three blades",
        "hours": Decimal("0.75"),
        "discount_minor": 500,
    },
    {
        "kind": "part",
        "rank": "advised",
        "words": "Air filter",
        "quantity": Decimal(1),
        "unit_price_minor": 2140,
    },
    {"kind": "labor", "rank": "advised", "words": "Oil and filter change", "fixed_minor": 5900},
    {
        "kind": "discount",
        "rank": "advised",
        "words": "Neighbor of the shop",
        "discount_percent": Decimal(5),
    },
    {
        "kind": "part",
        "rank": "advised",
        "words": "Battery",
        "quantity": Decimal(1),
        "unit_price_minor": 7450,
        "core_minor": 1000,
    },
    {"kind": "labor", "rank": "advised", "words": "New fuel hose and clamps", "hours": Decimal("0.5")},
)
"""Twelve lines to say yes or no to, and a discount."""


def line_id(at: int) -> UUID:
    return UUID(int=at + 1)


def lines(count: int = len(WORK), **changed: Any) -> list[QuoteLine]:
    """The first `count` of `WORK`, begun again (without fee and discount) once they are used up."""
    again = [fields for fields in WORK if fields["kind"] not in ("fee", "discount")]
    made = []
    for at in range(count):
        fields = WORK[at] if at < len(WORK) else again[at % len(again)]
        made.append(QuoteLine(id=line_id(at), position=at, **{**fields, **changed}))
    return made


def book(**changed: Any) -> ShopPrices:
    profile = TaxProfile(
        key="ours",
        label="Ours",
        from_on=date(2026, 1, 1),
        until_on=None,
        inclusive=changed.pop("inclusive", False),
        per="invoice",
        rounding="half_up",
        rates=changed.pop(
            "rates",
            (
                TaxRate(key="state", label="State sales tax", percent=Decimal(6)),
                TaxRate(key="city", label="City tax", percent=Decimal("0.75")),
            ),
        ),
        labor="when_parts_supplied",
        part=True,
        supplies=True,
        travel=False,
        fee=False,
        lumped=False,
    )
    fields: dict[str, Any] = {
        "currency": "USD",
        "minor_digits": 2,
        "rounding": "half_away",
        "labor_rates": (LaborRate(key="bench", label="Bench", minor_per_hour=9500),),
        "labor_minimum_minor": 4500,
        "diagnosis_fee_minor": 6500,
        "credit_diagnosis": True,
        "part_bands": (PartBand(up_to_minor=None, markup_percent=Decimal(40)),),
        "supplies": Supplies(percent=Decimal(4), of=("labor", "part"), floor_minor=300, cap_minor=2500),
        "travel": Travel(
            mode="distance",
            minor_per_unit=110,
            unit="mi",
            free_units=Decimal(10),
            minimum_minor=0,
            zones=(),
        ),
        "deposit": DepositRule(percent=Decimal(50), of="parts", from_total_minor=20000, rounding_to_minor=100),
        "tolerance_percent": Decimal(10),
        "terms": "Pay at pickup, by card, check or cash.",
        "valid_days": 30,
        "tax_profiles": (profile,),
    }
    return ShopPrices(**fields | changed)


def ink(signer: str = "Marla Quist") -> SignatureFacts:
    """Two loops, a dot and a line under them."""
    loops = [
        [
            (
                int(1200 + at * 3200 + 2600 * t / 40 + 500 * math.sin(t / 3)),
                int(5000 + 2500 * math.sin(t / 2)),
                t * 12,
                4000,
            )
            for t in range(40)
        ]
        for at in range(2)
    ]
    strokes = [*loops, [(8800, 7600, 2500, 3000)], [(900, 8300, 2600, 1), (9300, 7900, 2700, 1)]]
    return SignatureFacts(strokes=strokes, width=600, height=220, signer_name=signer)


@dataclass(frozen=True)
class Case:
    """A quote with what its sheet is laid out from, and the sheet."""

    offer: dict[str, Any]
    totals: QuoteTotals
    sheet: QuoteSheet
    digest: str


def case(
    of: Sequence[QuoteLine] | None = None,
    *,
    declined: Collection[int] | None = None,
    matches: bool = True,
    how: str = "glass",
    zone: str = "America/Boise",
    said: str = "",
    call: Mapping[str, Any] | None = None,
    with_ink: bool = True,
    the_book: ShopPrices | None = None,
    exempt: bool = False,
    revision: int = 1,
    kind: str = "first",
    shop_name: str = "Tolliver Small Engine",
    customer_name: str = "Marla Quist",
    machine_text: str = "Brandt & Hale GT-1848 garden tractor, serial 0O1lI-88213",
    shop: ShopHead = SHOP,
    customer: CustomerFacts = CUSTOMER,
    machine: MachineFacts = MACHINE,
    site: SiteFacts | None = SITE,
    complaints: Sequence[ComplaintFacts] = (COMPLAINT,),
    language: Language = "en",
    **quote: Any,
) -> Case:
    """`declined` are places in the list of lines; None: nothing is decided yet."""
    of = lines() if of is None else of
    priced = the_book or book()
    offer = offer_document(
        quote_id=UUID(int=9999),
        revision=revision,
        kind=kind,  # type: ignore[arg-type] # texts of the closed sets
        shop_name=shop_name,
        customer_name=customer_name,
        machine=machine_text,
        book=priced,
        lines=of,
        discount=None,
        exempt=exempt,
        valid_until=date(2026, 12, 25),
        language=language,
    )
    shown = json_digest(offer)
    choices = [line for line in of if line.kind != "discount"]
    declined_ids = frozenset(line_id(at) for at in declined or ())
    accepted_ids = frozenset(line.id for line in choices) - declined_ids
    counted = None
    if declined is not None and matches:
        counted = accepted_ids | {line.id for line in of if line.kind == "discount"}
    totals = compute_totals(priced, of, accepted=counted, exempt=exempt)
    decision = None
    if declined is not None:
        decision = DecisionFacts(
            how=how,  # type: ignore[arg-type] # texts of the closed sets
            name=customer_name,
            at=DECIDED_AT,
            zone=zone,
            received_at=RECEIVED_AT,
            digest=shown if matches else "f" * 64,
            matches=matches,
            accepted_ids=accepted_ids,
            declined_ids=declined_ids,
            accepted_total_minor=totals.total_minor if matches else None,
            note=said,
            ink=ink(customer_name) if with_ink else None,
            **(call or {}),
        )
    facts = {
        "number": "Q-311",
        "mark": "B-7",
        "job": "J-1042",
        "state": "offered" if declined is None else "decided",
        "offered_at": OFFERED_AT,
        "digest": shown,
        "note": "I can start on Tuesday if the bearings are in.",
    }
    sheet = lay_out(
        offer=offer,
        totals=totals,
        quote=QuoteFacts(**facts | quote),
        shop=shop,
        customer=customer,
        machine=machine,
        site=site,
        complaints=complaints,
        decision=decision,
    )
    return Case(offer, totals, sheet, shown)
