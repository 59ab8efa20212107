"""Typical work in a shop as commands: a visit from the customer's name to the signed quote."""

from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from shopapi.core.clock import now
from shopapi.core.schema import parse
from shopapi.quotes.rules import QuoteLine, ShopPrices, compute_totals, json_digest, offer_document
from tests.sync.simulated_phone import OutboxEntry, SimulatedPhone

BOOK: dict[str, Any] = {
    "currency": "USD",
    "minor_digits": 2,
    "rounding": "half_up",
    "labor_rates": [{"key": "standard", "label": "Standard", "minor_per_hour": 8500, "member_id": None, "work": None}],
    "labor_minimum_minor": 0,
    "diagnosis_fee_minor": 0,
    "credit_diagnosis": True,
    "part_bands": [{"up_to_minor": None, "markup_percent": "40"}],
    "supplies": {"percent": "0", "of": ["labor"], "floor_minor": 0, "cap_minor": None},
    "travel": {
        "mode": "distance",
        "minor_per_unit": 0,
        "unit": "mi",
        "free_units": "0",
        "minimum_minor": 0,
        "zones": [],
    },
    "deposit": {"percent": "0", "of": "parts", "from_total_minor": 0, "rounding_to_minor": 1},
    "tolerance_percent": "0",
    "terms": "",
    "valid_days": 30,
    "tax_profiles": [
        {
            # The tax profile that a new shop starts with, so that it is in force.
            "key": "none",
            "label": "Sales tax",
            "from_on": "2020-01-01",
            "until_on": None,
            "inclusive": False,
            "per": "invoice",
            "rounding": "half_up",
            "rates": [{"key": "state", "label": "State", "percent": "6"}],
            "labor": "never_when_separate",
            "part": True,
            "supplies": True,
            "travel": False,
            "fee": False,
            "lumped": False,
        }
    ],
}
TODAY = now()
VALID_UNTIL = (TODAY + timedelta(days=30)).date()


def create_row(phone: SimulatedPhone, command: str, /, **args: Any) -> str:
    """Write a command that creates a row; returns the row's id."""
    row_id = phone.new_id()
    phone.write(command, id=row_id, **args)
    return row_id


def part_line(quote_id: str, line_id: str, position: int, cents: int, **more: Any) -> dict[str, Any]:
    """The arguments of a line for one part with a fixed price."""
    words = f"Part {position}"
    figures = {"kind": "part", "rank": "needed", "words": words, "quantity": "2", "unit_price_minor": cents}
    return {"id": line_id, "quote_id": quote_id, "position": position, **figures, **more}


@dataclass
class QuoteDraft:
    """A quote as the phone that wrote it knows it."""

    id: str
    job_id: str
    customer: str
    machine: str
    lines: list[dict[str, Any]] = field(default_factory=list)
    revision: int = 1
    digest: str = ""
    total: int = 0

    def line_models(self) -> list[QuoteLine]:
        return [parse(QuoteLine, {k: v for k, v in line.items() if k != "quote_id"}) for line in self.lines]


def start_quote(
    phone: SimulatedPhone, job_id: str, *, customer: str, machine: str, replaces: QuoteDraft | None = None
) -> QuoteDraft:
    draft = QuoteDraft(phone.new_id(), job_id, customer, machine, revision=replaces.revision + 1 if replaces else 1)
    more = {"replaces_id": replaces.id} if replaces else {}
    phone.write("draft_quote", id=draft.id, job_id=job_id, kind="first", mark=f"{phone.letter}-q", basis=BOOK, **more)
    return draft


def add_line(phone: SimulatedPhone, draft: QuoteDraft, cents: int) -> OutboxEntry:
    line = part_line(draft.id, phone.new_id(), len(draft.lines) + 1, cents)
    draft.lines.append(line)
    return phone.write("put_quote_line", **line)


def offer_quote(phone: SimulatedPhone, draft: QuoteDraft, *, shop: str) -> OutboxEntry:
    """Offer the quote as this phone shows it."""
    book, lines = parse(ShopPrices, BOOK), draft.line_models()
    document = offer_document(
        quote_id=draft.id,  # type: ignore[arg-type] # ids travel as text
        revision=draft.revision,
        kind="first",
        shop_name=shop,
        customer_name=draft.customer,
        machine=draft.machine,
        book=book,
        lines=lines,
        discount=None,
        exempt=False,
        valid_until=VALID_UNTIL,
    )
    draft.digest, draft.total = json_digest(document), document["total_minor"]
    shown = {"shop": shop, "customer": draft.customer, "machine": draft.machine, "exempt": False}
    return phone.write(
        "offer_quote",
        id=draft.id,
        valid_until=VALID_UNTIL.isoformat(),
        digest=draft.digest,
        total_minor=draft.total,
        shown=shown,
    )


def decide_quote(phone: SimulatedPhone, draft: QuoteDraft, accepted: int, *, shown: str | None = None) -> OutboxEntry:
    """Record the customer's decision with a signature: the first `accepted` lines accepted, the others declined."""
    ids = [line["id"] for line in draft.lines]
    ink = {"id": phone.new_id(), "strokes": [[[10, 20, 0], [400, 300, 40]]], "width": 600, "height": 200}
    return phone.write(
        "decide_quote",
        id=phone.new_id(),
        quote_id=draft.id,
        revision=draft.revision,
        how="glass",
        decided_by_name="Ada Quill",
        decided_at=TODAY.isoformat().replace("+00:00", "Z"),
        zone="America/Boise",
        digest=shown or draft.digest,
        accepted_ids=ids[:accepted],
        declined_ids=ids[accepted:],
        signature=ink,
    )


def accepted_total(draft: QuoteDraft, accepted: int) -> int:
    """The total of the accepted lines in minor units, computed here."""
    lines = draft.line_models()
    return compute_totals(parse(ShopPrices, BOOK), lines, accepted={line.id for line in lines[:accepted]}).total_minor


@dataclass(frozen=True)
class Visit:
    customer_id: str
    site_id: str
    machine_id: str
    job_id: str
    finding_id: str
    quote: QuoteDraft


def record_visit(phone: SimulatedPhone, *, shop: str, nth: int = 0) -> Visit:
    """One whole visit without signal, from the customer's name to the signature: 14 commands."""
    name, kind = f"Customer {nth}", "garden tractor"
    customer_id = create_row(phone, "add_customer", name=name, phone=f"208 555 {nth:04}")
    site_id = create_row(phone, "add_site", customer_id=customer_id, label="Barn", lat="43.5", lon="-116.25")
    machine_id = create_row(phone, "add_machine", customer_id=customer_id, kind=kind)
    create_row(phone, "record_meter", machine_id=machine_id, hours="412.5", read_on=date(2026, 5, 1).isoformat())
    job_id = create_row(
        phone,
        "open_job",
        customer_id=customer_id,
        machine_id=machine_id,
        site_id=site_id,
        mark=f"{phone.letter}-{nth}",
    )
    create_row(phone, "add_complaint", job_id=job_id, words="It will not start")
    finding_id = create_row(phone, "record_finding", job_id=job_id, words="Cracked fuel hose", rank="safety")
    phone.write("move_job", id=job_id, stage="diagnosis")
    phone.write("edit_job", id=job_id, base={"notes": ""}, set={"notes": f"Key under mat {nth}"})
    draft = start_quote(phone, job_id, customer=name, machine=kind)
    add_line(phone, draft, 1000 + nth)
    add_line(phone, draft, 2550)
    offer_quote(phone, draft, shop=shop)
    decide_quote(phone, draft, 1)
    return Visit(customer_id, site_id, machine_id, job_id, finding_id, draft)
