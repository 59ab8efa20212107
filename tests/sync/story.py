"""Days in a shop as commands: what people write down, with ids and words drawn from a seed."""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any

from shopapi.core.shape import decode
from shopapi.quotes.rules import PriceBook, QuoteLine, canonical, digest, offer_document, reckon
from tests.sync.phone import Entry, Phone

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
            "key": "sales",
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
TODAY = datetime.now(UTC)
LAST_DAY = (TODAY + timedelta(days=30)).date()


def fresh(phone: Phone, command: str, /, **args: Any) -> str:
    """Write a command that makes a row; returns the row's id."""
    row_id = phone.mint()
    phone.write(command, id=row_id, **args)
    return row_id


def part(quote_id: str, line_id: str, position: int, cents: int, **more: Any) -> dict[str, Any]:
    """A line of one part with a set price."""
    words = f"Part {position}"
    figures = {"kind": "part", "rank": "needed", "words": words, "quantity": "2", "unit_price_minor": cents}
    return {"id": line_id, "quote_id": quote_id, "position": position, **figures, **more}


@dataclass
class Drawn:
    """A quote as the phone that draws it knows it."""

    id: str
    job_id: str
    customer: str
    machine: str
    lines: list[dict[str, Any]] = field(default_factory=list)
    revision: int = 1
    digest: str = ""
    total: int = 0

    def figures(self) -> list[QuoteLine]:
        return [decode(QuoteLine, {k: v for k, v in line.items() if k != "quote_id"}) for line in self.lines]


def begin_quote(phone: Phone, job_id: str, *, customer: str, machine: str, replaces: Drawn | None = None) -> Drawn:
    drawn = Drawn(phone.mint(), job_id, customer, machine, revision=replaces.revision + 1 if replaces else 1)
    more = {"replaces_id": replaces.id} if replaces else {}
    phone.write("draft_quote", id=drawn.id, job_id=job_id, kind="first", mark=f"{phone.letter}-q", basis=BOOK, **more)
    return drawn


def put_line(phone: Phone, drawn: Drawn, cents: int) -> Entry:
    line = part(drawn.id, phone.mint(), len(drawn.lines) + 1, cents)
    drawn.lines.append(line)
    return phone.write("put_quote_line", **line)


def offer(phone: Phone, drawn: Drawn, *, shop: str) -> Entry:
    """Offer the quote as this phone shows it."""
    book, lines = decode(PriceBook, BOOK), drawn.figures()
    document = offer_document(
        quote_id=drawn.id,  # type: ignore[arg-type]
        revision=drawn.revision,
        kind="first",
        shop_name=shop,
        customer_name=drawn.customer,
        machine=drawn.machine,
        book=book,
        lines=lines,
        discount=None,
        exempt=False,
        valid_until=LAST_DAY,
    )
    drawn.digest, drawn.total = digest(canonical(document)), document["total_minor"]
    shown = {"shop": shop, "customer": drawn.customer, "machine": drawn.machine, "exempt": False}
    return phone.write(
        "offer_quote",
        id=drawn.id,
        valid_until=LAST_DAY.isoformat(),
        digest=drawn.digest,
        total_minor=drawn.total,
        shown=shown,
    )


def decide(phone: Phone, drawn: Drawn, accepted: int, *, shown: str | None = None) -> Entry:
    """Keep the owner's decision: the first `accepted` lines are wanted, the others not. With ink."""
    ids = [line["id"] for line in drawn.lines]
    ink = {"id": phone.mint(), "strokes": [[[10, 20, 0], [400, 300, 40]]], "width": 600, "height": 200}
    return phone.write(
        "decide_quote",
        id=phone.mint(),
        quote_id=drawn.id,
        revision=drawn.revision,
        how="glass",
        decided_by_name="Ada Quill",
        decided_at=TODAY.isoformat().replace("+00:00", "Z"),
        zone="America/Boise",
        digest=shown or drawn.digest,
        accepted_ids=ids[:accepted],
        declined_ids=ids[accepted:],
        signature=ink,
    )


def total_of(drawn: Drawn, accepted: int) -> int:
    """What the accepted lines come to, reckoned here."""
    lines = drawn.figures()
    return reckon(decode(PriceBook, BOOK), lines, accepted={line.id for line in lines[:accepted]}).total_minor


@dataclass(frozen=True)
class Visit:
    customer_id: str
    site_id: str
    machine_id: str
    job_id: str
    finding_id: str
    quote: Drawn


def visit(phone: Phone, *, shop: str, nth: int = 0) -> Visit:
    """One whole visit without signal, from the owner's name to the signature: 14 commands."""
    name, kind = f"Customer {nth}", "garden tractor"
    customer_id = fresh(phone, "add_customer", name=name, phone=f"208 555 {nth:04}")
    site_id = fresh(phone, "add_site", customer_id=customer_id, label="Barn", lat="43.5", lon="-116.25")
    machine_id = fresh(phone, "add_machine", customer_id=customer_id, kind=kind)
    fresh(phone, "record_meter", machine_id=machine_id, hours="412.5", read_on=date(2026, 5, 1).isoformat())
    job_id = fresh(
        phone,
        "open_job",
        customer_id=customer_id,
        machine_id=machine_id,
        site_id=site_id,
        mark=f"{phone.letter}-{nth}",
    )
    fresh(phone, "add_complaint", job_id=job_id, words="It will not start")
    finding_id = fresh(phone, "record_finding", job_id=job_id, words="Cracked fuel hose", rank="safety")
    phone.write("move_job", id=job_id, stage="diagnosis")
    phone.write("edit_job", id=job_id, base={"notes": ""}, set={"notes": f"Key under mat {nth}"})
    drawn = begin_quote(phone, job_id, customer=name, machine=kind)
    put_line(phone, drawn, 1000 + nth)
    put_line(phone, drawn, 2550)
    offer(phone, drawn, shop=shop)
    decide(phone, drawn, 1)
    return Visit(customer_id, site_id, machine_id, job_id, finding_id, drawn)
