"""Server and phone bill the same: random invoices and their credit notes through both twins, whole outcomes compared.

The suite draws fewer; `BILLED=10000 python3 manage.py test tests/billing/test_twin.py` draws ten thousand.
"""

import json
import os
from collections import Counter
from datetime import date
from decimal import Decimal
from itertools import count
from random import Random
from typing import Any
from uuid import UUID

from shopapi.billing.rules.collecting import Collected, DrivenTrip, FittedPart, JobWork, StoredDays, Warranty, collect
from shopapi.core.schema import parse, to_json
from shopapi.quotes.rules import Discount, QuoteLine, ShopPrices, basis_on, check_lines
from shopapi.quotes.rules.agreed import AgreedQuote
from tests.quotes.drawn_quotes import draw_quote
from tests.quotes.test_twin import phone, server

INVOICES = int(os.environ.get("BILLED", "2000"))


def draw_invoice(random: Random) -> dict[str, Any]:
    """A drawn quote as an invoice: everything counts, some lines take back, and some of them are credited."""
    drawn = draw_quote(random) | {"accepted": None, "rules_version": 3, "billed": True}
    for line in drawn["lines"]:
        if line.get("quantity") and random.random() < 0.3:
            line["quantity"] = "-" + line["quantity"].removeprefix("-")
    some = [line for line in drawn["lines"] if random.random() < 0.5]
    credited: dict[str, str | None] = {line["id"]: None for line in random.choice((drawn["lines"], some))}
    if random.random() < 0.3:
        credited = {line["id"]: draw_count(random, line) for line in some}
    return drawn | {"credited": credited}


def draw_count(random: Random, line: dict[str, Any]) -> str | None:
    """How much of a line is credited: all, a part of it that there is, rarely too much."""
    whole = line.get("hours") if line["kind"] == "labor" else line.get("quantity") or "1"
    counted = line["kind"] in ("labor", "part", "fee", "supplies") and line.get("fixed_minor") is None
    if not whole or not counted or not Decimal(whole) or random.random() < 0.3:
        return "1" if random.random() < 0.05 else None
    share = random.choice(("0.25", "0.5", "0.5", "1", "1.5" if random.random() < 0.2 else "0.75"))
    return f"{(Decimal(whole) * Decimal(share)).quantize(Decimal('0.0001')):f}"


def test_both_twins_bill_alike() -> None:
    random = Random(20261130)  # noqa: S311 - a fixed draw, no secret
    invoices = [draw_invoice(random) for _ in range(INVOICES)]
    theirs = phone([{"quote": invoice} for invoice in invoices])
    outcomes: Counter[str] = Counter()
    for invoice, their in zip(invoices, theirs, strict=True):
        for fault in their.get("refused", []):
            fault["words"] = None
        ours = server(invoice)
        for fault in ours.get("refused", []):
            fault["words"] = None
        assert their == ours, json.dumps(invoice)
        outcomes[next(iter(ours))] += 1
        if "totals" not in ours:
            continue
        check_sums(ours["totals"])
        outcomes["below zero"] += any(line["amount_minor"] < 0 for line in ours["totals"]["lines"])
        if isinstance(ours.get("credited"), dict):
            outcomes["credited"] += 1
            outcomes["credited in part"] += any(invoice["credited"].values())
            if len(invoice["credited"]) == len(invoice["lines"]) and not any(invoice["credited"].values()):
                assert ours["credited"] == ours["totals"]
        outcomes["credit refused"] += isinstance(ours.get("credited"), list)
    # The drawn invoices are useful only if each outcome is common.
    assert outcomes["totals"] > INVOICES / 2
    assert outcomes["credited"] > INVOICES / 4
    assert outcomes["credited in part"] > INVOICES / 20
    assert outcomes["credit refused"] > INVOICES / 100
    assert outcomes["below zero"] > INVOICES / 20


JOBS = int(os.environ.get("BILLED", "2000")) // 4


def draw_job(random: Random) -> dict[str, Any] | None:
    """What was agreed and done on a job: one quote or two, clocked time, parts; None where a quote is faulty."""
    quotes = []
    for _ in range(random.choice((1, 1, 2))):
        drawn = draw_quote(random)
        book = basis_on(parse(ShopPrices, drawn["book"]), date.fromisoformat(drawn["on"]))
        if book is None:
            return None
        lines = [parse(QuoteLine, line) for line in drawn["lines"]]
        discount = parse(Discount, drawn["discount"] or {})
        if check_lines(book, lines, discount=discount):
            return None
        ids = [str(line.id) for line in lines]
        accepted = [one for one in ids if random.random() < 0.7]
        quote = {"lines": to_json(lines), "discount": to_json(discount), "exempt": drawn["exempt"]}
        quotes.append(quote | {"book": to_json(book), "accepted": accepted})
    known = [one for quote in quotes for one in quote["accepted"]]
    part = {"description": "Belt", "number": random.choice(("", "BR-20")), "quantity": "2"}
    prices = {"price_minor": random.choice((None, 900)), "cost_minor": random.choice((None, 500)), "core_minor": 0}
    return {
        "basis": quotes[0]["book"],
        "quotes": quotes,
        "seconds": {one: random.randrange(20_000) for one in known if random.random() < 0.5},
        "billed": [one for one in known if random.random() < 0.15],
        "parts": [{"need_id": str(UUID(int=random.randrange(1, 99))), **part, **prices}],
        "trips": draw_trips(random, quotes[0]["book"]),
        "storage": random.choice((None, {"words": "Storage", "amount_minor": random.choice((0, 2700))})),
        "settings": {
            "labor": random.choice(("as_quoted", "by_time")),
            "warranty_days": random.choice((None, 90)),
            "warranty_hours": random.choice((None, "50")),
        },
    }


def draw_trips(random: Random, book: dict[str, Any]) -> list[dict[str, Any]]:
    """Trips with what is known of them: how far, in which zone, or nothing."""
    zones = [zone["key"] for zone in book["travel"]["zones"]]
    return [
        {
            "stop_id": str(UUID(int=random.randrange(100, 199))),
            "words": "Pickup",
            "distance": random.choice((None, "0", "12.5")),
            "zone_key": random.choice((None, *zones)),
        }
        for _ in range(random.randrange(3))
    ]


def collected(case: dict[str, Any]) -> Collected:
    ids = count(1)
    quotes = [
        AgreedQuote(
            book=parse(ShopPrices, quote["book"]),
            lines=[parse(QuoteLine, line) for line in quote["lines"]],
            accepted={UUID(one) for one in quote["accepted"]},
            discount=parse(Discount, quote["discount"]),
            exempt=quote["exempt"],
        )
        for quote in case["quotes"]
    ]
    parts = [
        FittedPart(**part | {"need_id": UUID(part["need_id"]), "quantity": Decimal(part["quantity"])})
        for part in case["parts"]
    ]
    seconds = {UUID(one): clocked for one, clocked in case["seconds"].items()}
    trips = [
        DrivenTrip(
            **trip | {"stop_id": UUID(trip["stop_id"]), "distance": trip["distance"] and Decimal(trip["distance"])}
        )
        for trip in case["trips"]
    ]
    storage = None if case["storage"] is None else StoredDays(**case["storage"])
    work = JobWork(quotes, seconds, parts, {UUID(one) for one in case["billed"]}, trips, storage)
    hours = case["settings"]["warranty_hours"]
    warranty = Warranty(case["settings"]["warranty_days"], None if hours is None else Decimal(hours))
    return collect(
        parse(ShopPrices, case["basis"]),
        work,
        labor=case["settings"]["labor"],
        warranty=warranty,
        mint=lambda: UUID(f"00000000-0000-7000-8000-{next(ids):012}"),
    )


def said(line: dict[str, Any]) -> dict[str, Any]:
    """A line without what is left out, its decimals in one form."""
    decimals = ("hours", "quantity", "distance", "discount_percent", "warranty_hours")
    kept = {name: value for name, value in line.items() if value not in (None, "")}
    return {name: Decimal(value).normalize() if name in decimals else value for name, value in kept.items()}


def test_both_twins_collect_alike() -> None:
    random = Random(20261201)  # noqa: S311 - a fixed draw, no secret
    cases = [case for case in (draw_job(random) for _ in range(JOBS)) if case is not None]
    theirs = phone([{"collect": case} for case in cases])
    sources: Counter[str] = Counter()
    driven = 0
    for case, their in zip(cases, theirs, strict=True):
        ours = collected(case)
        assert [said(line) for line in their["lines"]] == [said(to_json(line)) for line in ours.lines], json.dumps(case)
        assert said(their["discount"]) == said(to_json(ours.discount)), json.dumps(case)
        sources.update(line.source for line in ours.lines)
        driven += sum(line.stop_id is not None for line in ours.lines)
    assert min(sources[source] for source in ("quote", "clock", "part", "travel", "storage")) > JOBS / 20
    assert driven > JOBS / 20


def check_sums(totals: dict[str, Any]) -> None:
    """The parts of an invoice add up to the whole of it."""
    parts = sum(line["amount_minor"] for line in totals["lines"]) + sum(row["amount_minor"] for row in totals["added"])
    assert parts == totals["subtotal_minor"]
    assert sum(row["tax_minor"] for row in totals["tax"]) == totals["tax_minor"]
    assert totals["net_minor"] + totals["tax_minor"] == totals["total_minor"]
