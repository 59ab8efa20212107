"""Invoices and credit notes from the first line to issued."""

from shopapi.billing.rules.invoices import BilledLine
from tests.replay.generators.quotes import basis_of, book_of
from tests.replay.generators.registry import Args, edit, generator, maybe, one, target, whose, words
from tests.replay.phone_replay import Row
from tests.replay.simulated_shop import SimulatedShop

LINE_FIELDS = (*BilledLine.model_fields, "invoice_id")


def a_line(shop: SimulatedShop, at: int) -> Row:
    figures = shop.random.choice(
        (
            {"kind": "labor", "hours": "1.50"},
            {"kind": "part", "quantity": "2.0", "unit_price_minor": shop.random.randrange(9000), "source": "part"},
            {"kind": "part", "quantity": "-1", "unit_price_minor": 400, "warranty_hours": "50.0"},
            {"kind": "fee", "fixed_minor": 1500, "source": "storage"},
            {"kind": "discount", "discount_percent": "5"},
        )
    )
    return {"id": shop.mint(), "position": at, "rank": "needed", "words": words(shop), **figures}


@generator
def edit_billing_settings(shop: SimulatedShop) -> Args:
    (row,) = shop.all("billing_settings")
    fields = {"payment_days": shop.random.choice((0, 14, 30)), "invoice_words": words(shop)}
    return edit(shop, row, fields)


@generator
def edit_account_names(shop: SimulatedShop) -> Args:
    (row,) = shop.all("billing_settings")
    return edit(shop, row, {"accounts": row["accounts"] | {"labor": shop.random.choice(("4100", "4200", ""))}})


@generator
def draft_invoice(shop: SimulatedShop) -> Args:
    basis, job = basis_of(shop), one(shop, shop.all("job"))
    if basis is None or job is None:
        return None
    return {
        "id": shop.mint(),
        "customer_id": job["customer_id"],
        "basis": basis,
        "lines": [a_line(shop, at) for at in range(shop.random.randrange(4))],
        **maybe(
            shop, note=words(shop), mark=f"B-{shop.random.randrange(99)}", discount={"percent": "5", "minor": None}
        ),
    }


def a_draft(shop: SimulatedShop, **wanted: object) -> Row | None:
    return one(shop, whose(shop, "invoice", state="draft", **wanted))


@generator
def edit_invoice(shop: SimulatedShop) -> Args:
    discounts = ({"percent": "5", "minor": None}, {"percent": None, "minor": 300}, {"percent": None, "minor": None})
    fields = {"note": words(shop), "discount": shop.random.choice(discounts), "due_on": shop.day(20)}
    return edit(shop, a_draft(shop), fields)


@generator
def choose_invoice_tax(shop: SimulatedShop) -> Args:
    invoice = a_draft(shop, kind="invoice")
    profile = one(shop, book_of(shop)["tax_profiles"])
    return invoice and profile and {"id": invoice["id"], "tax_profile": profile}


@generator
def put_invoice_line(shop: SimulatedShop) -> Args:
    invoice = a_draft(shop)
    if invoice is None:
        return None
    lines = whose(shop, "invoice_line", invoice_id=invoice["id"])
    known = one(shop, lines) if shop.random.random() < 0.25 else None
    if known is not None:
        return {name: known[name] for name in LINE_FIELDS if name in known} | {"words": words(shop)}
    return {"invoice_id": invoice["id"], **a_line(shop, len(lines))}


@generator
def remove_invoice_line(shop: SimulatedShop) -> Args:
    drafts = {invoice["id"] for invoice in whose(shop, "invoice", state="draft")}
    return target(one(shop, [line for line in shop.all("invoice_line") if line["invoice_id"] in drafts]))


@generator
def discard_invoice(shop: SimulatedShop) -> Args:
    return target(a_draft(shop) if shop.random.random() < 0.3 else None)


def an_issue(shop: SimulatedShop, kind: str) -> Args:
    drafts = [row for row in whose(shop, "invoice", state="draft", kind=kind) if row["totals"] is not None]
    invoice = one(shop, drafts)
    if invoice is None:
        return None
    total = invoice["totals"]["total_minor"]
    return {"id": invoice["id"], "issued_on": shop.today.isoformat(), "total_minor": total}


@generator
def issue_invoice(shop: SimulatedShop) -> Args:
    return an_issue(shop, "invoice")


@generator
def draft_credit_note(shop: SimulatedShop) -> Args:
    invoice = one(shop, whose(shop, "invoice", state="issued", kind="invoice"))
    if invoice is None:
        return None
    lines = whose(shop, "invoice_line", invoice_id=invoice["id"])
    chosen = lines if shop.random.random() < 0.6 else [line for line in lines if shop.random.random() < 0.6]
    if not chosen:
        return None
    pairs = [{"id": shop.mint(), "line_id": line["id"]} for line in chosen]
    return {"id": shop.mint(), "credited_id": invoice["id"], "lines": pairs, **maybe(shop, note=words(shop))}


@generator
def issue_credit_note(shop: SimulatedShop) -> Args:
    return an_issue(shop, "credit_note")
