"""Invoices and credit notes from draft to issued: what is stored, what is refused, what never changes."""

from datetime import date, timedelta
from typing import Any
from uuid import UUID

import pytest
from django.db import IntegrityError, connection, transaction

from shopapi.billing.models import Invoice, InvoiceLine
from shopapi.billing.services.credit_notes import draft_credit_note, issue_credit_note
from shopapi.billing.services.invoices import (
    discard_invoice,
    draft_invoice,
    edit_invoice,
    put_invoice_line,
    remove_invoice_line,
)
from shopapi.billing.services.issuing import issue_invoice
from shopapi.billing.services.settings import edit_billing_settings
from shopapi.core.errors import Conflict, DomainError, Forbidden, Invalid
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from tests.factories import bills, work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def stored(crew: Crew, invoice_id: UUID) -> Invoice:
    with in_shop(crew.shop_id):
        return Invoice.objects.get(id=invoice_id)


def totals(crew: Crew, invoice_id: UUID) -> dict[str, Any]:
    found: dict[str, Any] | None = stored(crew, invoice_id).totals
    assert found is not None
    return found


def refusal(actor: Any, command: Any, **args: Any) -> DomainError:
    with pytest.raises(DomainError) as refused:
        do(actor, command, **args)
    return refused.value


def test_an_invoice_from_draft_to_issued(crew: Crew) -> None:
    invoice_id = bills.an_invoice(crew.mechanic)
    draft = stored(crew, invoice_id)
    assert (draft.state, draft.number, totals(crew, invoice_id)["total_minor"]) == ("draft", None, 16_300)

    do(crew.mechanic, issue_invoice, **bills.issue_of(crew.mechanic, invoice_id))
    issued = stored(crew, invoice_id)
    assert (issued.state, issued.number, issued.issued_on) == ("issued", "INV-1001", work.today())
    assert issued.due_on == work.today() + timedelta(days=14)
    assert issued.issued_by_id == crew.mechanic.member_id
    assert issued.shown is not None
    assert (issued.shown["customer"]["name"], issued.shown["seller"]["name"]) == ("Winnie Stroud", "Bench & Bar")
    assert issued.digest is not None


def test_numbers_follow_each_other_by_series(crew: Crew) -> None:
    first, second = (bills.an_issued_invoice(crew.mechanic) for _ in range(2))
    bills.an_issued_credit_note(crew.office, first)
    third = bills.an_issued_invoice(crew.mechanic)
    assert [stored(crew, one).number for one in (first, second, third)] == ["INV-1001", "INV-1002", "INV-1003"]
    with in_shop(crew.shop_id):
        assert [note.number for note in Invoice.objects.filter(kind="credit_note")] == ["CN-1001"]


def test_a_refused_invoice_takes_no_number(crew: Crew) -> None:
    refused = bills.an_invoice(crew.mechanic)
    shown = bills.issue_of(crew.mechanic, refused, total_minor=1)
    assert refusal(crew.mechanic, issue_invoice, **shown).code == "invoice_total_differs"
    assert stored(crew, bills.an_issued_invoice(crew.mechanic)).number == "INV-1001"


def test_an_issued_invoice_is_not_edited(crew: Crew) -> None:
    invoice_id = bills.an_issued_invoice(crew.mechanic)
    with in_shop(crew.shop_id):
        line_id = InvoiceLine.objects.values_list("id", flat=True).filter(invoice=invoice_id)[0]
    for command, args in (
        (edit_invoice, {"id": invoice_id, "base": {"note": ""}, "set": {"note": "Changed"}}),
        (put_invoice_line, {"invoice_id": invoice_id, **work.part(id=uuid7())}),
        (remove_invoice_line, {"id": line_id}),
        (discard_invoice, {"id": invoice_id}),
        (issue_invoice, bills.issue_of(crew.mechanic, invoice_id)),
    ):
        assert refusal(crew.mechanic, command, **args).code == "invoice_issued"


@pytest.mark.parametrize(
    ("sql", "rule"),
    [
        ("UPDATE billing_invoice SET note = 'x'", "issued_invoice_stays"),
        ("UPDATE billing_invoice SET number = 'INV-9'", "issued_invoice_stays"),
        ("UPDATE billing_invoice SET totals = '{}'", "issued_invoice_stays"),
        ("UPDATE billing_invoice SET state = 'draft'", "issued_invoice_stays"),
        ("DELETE FROM billing_invoice", "issued_invoice_stays"),
        ("UPDATE billing_invoiceline SET words = 'x'", "lines_of_issued_invoice_stay"),
        ("DELETE FROM billing_invoiceline", "lines_of_issued_invoice_stay"),
    ],
)
def test_the_database_keeps_an_issued_invoice_as_it_is(crew: Crew, sql: str, rule: str) -> None:
    bills.an_issued_invoice(crew.mechanic)
    with in_shop(crew.shop_id), pytest.raises(IntegrityError, match="stay") as refused, transaction.atomic():
        connection.cursor().execute(sql)
    cause: Any = refused.value.__cause__
    assert cause.diag.constraint_name == rule


def test_the_database_adds_no_line_to_an_issued_invoice(crew: Crew) -> None:
    invoice_id = bills.an_issued_invoice(crew.mechanic)
    with in_shop(crew.shop_id), pytest.raises(IntegrityError, match="lines of an issued"), transaction.atomic():
        InvoiceLine.objects.create(shop_id=crew.shop_id, invoice_id=invoice_id, position=9, kind="fee", rank="needed")


def test_a_draft_is_deleted_with_its_lines(crew: Crew) -> None:
    invoice_id = bills.an_invoice(crew.mechanic)
    do(crew.mechanic, discard_invoice, id=invoice_id)
    with in_shop(crew.shop_id):
        assert not Invoice.objects.exists()
        assert not InvoiceLine.objects.exists()


def test_an_invoice_for_nothing_is_refused(crew: Crew) -> None:
    empty = bills.an_invoice(crew.mechanic, lines=[])
    refused = refusal(crew.mechanic, issue_invoice, id=empty, issued_on=work.today(), total_minor=0)
    assert [fault.code for fault in refused.fields] == ["invoice_without_lines"]
    free = bills.an_invoice(crew.mechanic, lines=[work.labor(fixed_minor=0, hours=None)])
    refused = refusal(crew.mechanic, issue_invoice, **bills.issue_of(crew.mechanic, free))
    assert [(fault.field, fault.code) for fault in refused.fields] == [("lines", "invoice_for_nothing")]


@pytest.mark.parametrize("days", [-32, 2])
def test_an_improbable_day_is_refused(crew: Crew, days: int) -> None:
    invoice_id = bills.an_invoice(crew.mechanic)
    on: date = work.today() + timedelta(days=days)
    refused = refusal(crew.mechanic, issue_invoice, **bills.issue_of(crew.mechanic, invoice_id, issued_on=on))
    assert [(fault.field, fault.code) for fault in refused.fields] == [("issued_on", "invoice_day_improbable")]


def test_a_line_is_put_and_taken_off(crew: Crew) -> None:
    invoice_id = bills.an_invoice(crew.mechanic)
    fee = {"id": uuid7(), "position": 2, "kind": "fee", "rank": "needed", "words": "Disposal", "fixed_minor": 500}
    do(crew.mechanic, put_invoice_line, invoice_id=invoice_id, **fee)
    assert totals(crew, invoice_id)["total_minor"] == 16_800
    do(crew.mechanic, remove_invoice_line, id=fee["id"])
    assert totals(crew, invoice_id)["total_minor"] == 16_300


def test_a_faulty_line_is_refused_by_its_field(crew: Crew) -> None:
    refused = refusal(
        crew.mechanic,
        draft_invoice,
        id=uuid7(),
        customer_id=work.a_customer(crew.mechanic),
        basis=work.a_basis(crew.mechanic),
        lines=[work.labor(), work.part(hours="2")],
    )
    assert [(fault.field, fault.code) for fault in refused.fields] == [("lines.1.hours", "not_for_kind")]
    assert isinstance(refused, Invalid)


def test_a_credit_note_mirrors_its_invoice_and_cancels_it(crew: Crew) -> None:
    invoice_id = bills.an_issued_invoice(crew.mechanic, discount={"percent": "7.5", "minor": None})
    note_id = bills.an_issued_credit_note(crew.office, invoice_id)
    before, after = totals(crew, invoice_id), totals(crew, note_id)
    assert [before[name] for name in ("subtotal_minor", "tax_minor", "total_minor")] == [
        after[name] for name in ("subtotal_minor", "tax_minor", "total_minor")
    ]
    assert stored(crew, invoice_id).state == "cancelled"
    note = stored(crew, note_id)
    assert note.shown is not None
    assert (note.state, note.due_on, note.shown["credited_number"]) == ("issued", None, "INV-1001")


def test_a_part_is_credited_and_no_more_than_what_is_left(crew: Crew) -> None:
    invoice_id = bills.an_issued_invoice(crew.mechanic)
    with in_shop(crew.shop_id):
        part = InvoiceLine.objects.get(invoice=invoice_id, kind="part").id
    lines = [{"id": uuid7(), "line_id": part}]
    bills.an_issued_credit_note(crew.office, invoice_id, lines=lines)
    assert stored(crew, invoice_id).state == "issued"
    whole = bills.a_credit_note(crew.office, invoice_id)
    refused = refusal(crew.office, issue_credit_note, **bills.issue_of(crew.office, whole))
    assert (refused.code, refused.fields[0].context) == ("credited_too_much", {"left": "$135.00"})


def test_some_pieces_of_a_line_are_credited_without_what_was_added_for_the_whole(crew: Crew) -> None:
    """One of two parts at 14.00; the labor minimum and the supplies of the invoice stay with it."""
    basis = work.a_basis(crew.mechanic)
    extra = {**basis, "labor_minimum_minor": 20_000, "supplies": {**basis["supplies"], "floor_minor": 500}}
    invoice_id = bills.an_issued_invoice(crew.mechanic, basis=extra)
    assert totals(crew, invoice_id)["total_minor"] > 16_300
    with in_shop(crew.shop_id):
        part = InvoiceLine.objects.get(invoice=invoice_id, kind="part")
    note = bills.a_credit_note(crew.office, invoice_id, lines=[{"id": uuid7(), "line_id": part.id, "quantity": "1"}])
    found = totals(crew, note)
    assert (found["subtotal_minor"], found["added"]) == (1_400, [])
    for quantity, code in (("3", "credited_too_many"), ("0", "credited_too_many"), ("-1", "credited_too_many")):
        wrong = [{"id": uuid7(), "line_id": part.id, "quantity": quantity}]
        refused = refusal(crew.office, draft_credit_note, id=uuid7(), credited_id=invoice_id, lines=wrong)
        assert [(fault.field, fault.code) for fault in refused.fields] == [("lines.0.quantity", code)]
    twice = [{"id": uuid7(), "line_id": part.id} for _ in range(2)]
    refused = refusal(crew.office, draft_credit_note, id=uuid7(), credited_id=invoice_id, lines=twice)
    assert [fault.code for fault in refused.fields] == ["credited_line_twice"]


def test_no_line_leaves_the_credit_note_of_a_whole_invoice(crew: Crew) -> None:
    """What was added for the whole invoice is taken back with it; chosen lines are a credit note of their own."""
    basis = work.a_basis(crew.mechanic)
    extra = {**basis, "credit_diagnosis": False, "supplies": {**basis["supplies"], "floor_minor": 500}}
    invoice_id = bills.an_issued_invoice(crew.mechanic, basis=extra)
    note = bills.a_credit_note(crew.office, invoice_id)
    with in_shop(crew.shop_id):
        labor, part = InvoiceLine.objects.filter(invoice=note).order_by("kind")
    before = totals(crew, note)
    put = work.part(id=part.id, invoice_id=note, unit_price_minor=1)
    discount = {"id": note, "base": {"discount": None}, "set": {"discount": {"kind": "percent", "percent": "10"}}}
    for command, args in (
        (put_invoice_line, put),
        (remove_invoice_line, {"id": labor.id}),
        (edit_invoice, discount),
    ):
        refused = refusal(crew.office, command, **args)
        assert (refused.code, isinstance(refused, Conflict)) == ("credit_note_whole", True)
    assert totals(crew, note) == before
    do(crew.office, edit_invoice, id=note, base={"note": ""}, set={"note": "As agreed by phone."})
    do(crew.office, discard_invoice, id=note)
    wanted = [{"id": uuid7(), "line_id": first_line(crew, invoice_id)}]
    some = bills.a_credit_note(crew.office, invoice_id, lines=wanted)
    with in_shop(crew.shop_id):
        (line,) = InvoiceLine.objects.filter(invoice=some)
    do(crew.office, remove_invoice_line, id=line.id)


def first_line(crew: Crew, invoice_id: UUID) -> UUID:
    with in_shop(crew.shop_id):
        return InvoiceLine.objects.filter(invoice=invoice_id)[0].id


def test_what_cannot_be_credited(crew: Crew) -> None:
    draft = bills.an_invoice(crew.mechanic)
    cancelled = bills.an_issued_invoice(crew.mechanic)
    note = bills.an_issued_credit_note(crew.office, cancelled)
    for invoice_id, code in (
        (draft, "credit_note_of_draft"),
        (cancelled, "credited_in_full"),
        (note, "credit_note_of_credit_note"),
    ):
        refused = refusal(crew.office, draft_credit_note, id=uuid7(), credited_id=invoice_id)
        assert (refused.code, refused.fields[0].field) == (code, "credited_id")
        assert isinstance(refused, Conflict)


def test_credit_notes_are_for_who_keeps_the_books(crew: Crew) -> None:
    invoice_id = bills.an_issued_invoice(crew.mechanic)
    assert isinstance(refusal(crew.mechanic, draft_credit_note, id=uuid7(), credited_id=invoice_id), Forbidden)
    note = bills.a_credit_note(crew.office, invoice_id)
    assert isinstance(refusal(crew.mechanic, discard_invoice, id=note), Forbidden)


def test_a_prefix_of_the_other_series_is_refused(crew: Crew) -> None:
    def change(field: str, before: str, after: str) -> DomainError:
        return refusal(crew.owner, edit_billing_settings, id=crew.shop_id, base={field: before}, set={field: after})

    assert change("credit_prefix", "CN", "INV").fields[0].code == "prefix_of_both"
    bills.an_issued_credit_note(crew.office, bills.an_issued_invoice(crew.mechanic))
    do(crew.owner, edit_billing_settings, id=crew.shop_id, base={"credit_prefix": "CN"}, set={"credit_prefix": "GS"})
    assert change("invoice_prefix", "INV", "CN").fields[0].code == "prefix_used"
