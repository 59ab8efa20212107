"""Orders of parts from draft to closed, what comes of them, and returns until the money is back."""

from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from typing import Any
from uuid import UUID

import page
import pytest
from django.db import DatabaseError, transaction
from pypdf import PdfReader
from pytest_django import Settings

from shopapi.accounts.models import Shop
from shopapi.accounts.queries import system_actor
from shopapi.core.errors import Conflict, Invalid
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Job
from shopapi.notices.models import Notice
from shopapi.parts.models import CatalogPart, PartArrival, PartNeed, PartOrder, PartOrderLine, PartReturn
from shopapi.parts.services.arrivals import record_part_arrival
from shopapi.parts.services.catalog import add_catalog_part
from shopapi.parts.services.needs import add_part_need, edit_part_need, fit_part
from shopapi.parts.services.order_pdf import make_order_pdf, print_part_order
from shopapi.parts.services.orders import (
    add_part_order,
    add_part_order_line,
    answer_part_order_line,
    cancel_part_order,
    close_part_order,
    edit_part_order_line,
    mail_part_order,
    note_part_order_sent,
    remove_part_order_line,
)
from shopapi.parts.services.returns import (
    add_part_return,
    refund_part_return,
    refuse_part_return,
    remove_part_return,
    send_part_return,
)
from shopapi.parts.services.suppliers import add_supplier
from tests.factories import work
from tests.factories.crews import Browser, Crew, open_crew
from tests.factories.refusals import refuses
from tests.factories.work import do, made

EIGHT = datetime(2026, 5, 5, 8, 0, tzinfo=UTC)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


@pytest.fixture
def job(crew: Crew) -> UUID:
    return work.a_job(crew.mechanic)


@pytest.fixture
def supplier(crew: Crew) -> UUID:
    return made(crew.office, add_supplier, id=uuid7(), name="Oakline Supply", customer_number="C-88")


def a_need(crew: Crew, job: UUID, **more: Any) -> UUID:
    return made(crew.mechanic, add_part_need, **{"id": uuid7(), "job_id": job, "description": "Deck belt"} | more)


def a_draft(crew: Crew, supplier: UUID, **more: Any) -> UUID:
    return made(crew.office, add_part_order, **{"id": uuid7(), "supplier_id": supplier, "mark": "B-1"} | more)


def a_line(crew: Crew, order: UUID, **more: Any) -> UUID:
    fields = {"id": uuid7(), "order_id": order, "number": "BX-41", "description": "Deck belt"}
    return made(crew.office, add_part_order_line, **fields | more)


def send(crew: Crew, order: UUID) -> None:
    do(crew.office, note_part_order_sent, id=order, how="phone", sent_at=EIGHT)


def comes(crew: Crew, line: UUID, **more: Any) -> UUID:
    fields = {"id": uuid7(), "order_line_id": line, "quantity": "1", "arrived_at": EIGHT}
    return made(crew.mechanic, record_part_arrival, **fields | more)


def states(crew: Crew, order: UUID, *needs: UUID) -> tuple[str, ...]:
    with in_shop(crew.shop_id):
        found = [PartNeed.objects.get(id=each).state for each in needs]
        return (PartOrder.objects.get(id=order).state, *found)


def waits(crew: Crew, job: UUID) -> list[str]:
    with in_shop(crew.shop_id):
        return list(Job.objects.get(id=job).waits_on)


def test_an_order_takes_its_needs_from_wanted_to_arrived(crew: Crew, job: UUID, supplier: UUID) -> None:
    need, other = a_need(crew, job, quantity="2"), a_need(crew, job)
    order = a_draft(crew, supplier)
    line, second = a_line(crew, order, need_id=need, quantity="2"), a_line(crew, order, need_id=other)
    assert states(crew, order, need, other) == ("draft", "wanted", "wanted")
    send(crew, order)
    assert states(crew, order, need, other) == ("sent", "ordered", "ordered")
    do(crew.office, answer_part_order_line, id=line, answer="confirmed", promised_on="2026-05-09", cost_minor=1900)
    do(crew.office, answer_part_order_line, id=second, answer="back_ordered", promised_on="2026-06-01")
    assert states(crew, order, need, other) == ("confirmed", "ordered", "back_ordered")
    comes(crew, line)
    assert states(crew, order, need) == ("confirmed", "ordered")
    comes(crew, line)
    assert states(crew, order, need) == ("confirmed", "arrived")
    assert waits(crew, job) == ["parts"]
    comes(crew, second)
    assert states(crew, order, need, other) == ("closed", "arrived", "arrived")
    assert waits(crew, job) == []


def test_orders_are_numbered_one_after_another(crew: Crew, supplier: UUID) -> None:
    orders = [a_draft(crew, supplier) for _ in range(2)]
    with in_shop(crew.shop_id):
        assert [PartOrder.objects.get(id=each).number for each in orders] == ["PO-1001", "PO-1002"]


def test_wrong_and_damaged_ones_are_still_to_come(crew: Crew, job: UUID, supplier: UUID) -> None:
    need, order = a_need(crew, job), a_draft(crew, supplier)
    line = a_line(crew, order, need_id=need, cost_minor=1200)
    send(crew, order)
    comes(crew, line, condition="wrong", cost_minor=9900)
    comes(crew, line, condition="damaged")
    assert states(crew, order, need) == ("sent", "ordered")
    with in_shop(crew.shop_id):
        assert PartNeed.objects.get(id=need).cost_minor is None
    comes(crew, line)
    assert states(crew, order, need) == ("closed", "arrived")


def test_an_arrival_entered_by_mistake_is_undone_once(crew: Crew, job: UUID, supplier: UUID) -> None:
    need, order = a_need(crew, job), a_draft(crew, supplier)
    line, other = a_line(crew, order, need_id=need), a_line(crew, order)
    send(crew, order)
    came = comes(crew, line)
    comes(crew, other)
    assert states(crew, order, need) == ("closed", "arrived")
    with refuses(Invalid, "same line"):
        comes(crew, other, undoes_id=came)
    undone = comes(crew, line, undoes_id=came)
    assert states(crew, order, need) == ("sent", "ordered")
    for again in (came, undone):
        with refuses(Conflict, "undone already"):
            comes(crew, line, undoes_id=again)
    with in_shop(crew.shop_id), pytest.raises(DatabaseError, match="permission denied"), transaction.atomic():
        PartArrival.objects.update(quantity=3)


def test_the_price_paid_goes_to_the_need_and_the_catalog(crew: Crew, job: UUID, supplier: UUID) -> None:
    part = made(crew.office, add_catalog_part, id=uuid7(), description="Deck belt", cost_minor=1500)
    need, order = a_need(crew, job, catalog_part_id=part, cost_minor=1500), a_draft(crew, supplier)
    line = a_line(crew, order, need_id=need, catalog_part_id=part)
    send(crew, order)
    comes(crew, line, cost_minor=1725)
    with in_shop(crew.shop_id):
        assert (PartNeed.objects.get(id=need).cost_minor, CatalogPart.objects.get(id=part).cost_minor) == (1725, 1725)


def test_a_need_goes_on_one_order_at_a_time(crew: Crew, job: UUID, supplier: UUID) -> None:
    need, first = a_need(crew, job), a_draft(crew, supplier)
    line = a_line(crew, first, need_id=need)
    second = a_draft(crew, supplier)
    with refuses(Conflict, "PO-1001"):
        a_line(crew, second, need_id=need)
    do(crew.office, remove_part_order_line, id=line)
    a_line(crew, second, need_id=need)
    send(crew, second)
    do(crew.office, close_part_order, id=second)
    assert states(crew, second, need) == ("closed", "wanted")
    a_line(crew, first, need_id=need)


def test_a_sent_order_is_not_edited_and_cancels_only_while_nothing_came(crew: Crew, job: UUID, supplier: UUID) -> None:
    need, order = a_need(crew, job), a_draft(crew, supplier)
    line = a_line(crew, order, need_id=need, quantity="2")
    send(crew, order)
    with refuses(Conflict, "sent already"):
        a_line(crew, order)
    with refuses(Conflict, "sent already"):
        do(crew.office, edit_part_order_line, id=line, base={"quantity": "2"}, set={"quantity": "3"})
    came = comes(crew, line)
    with refuses(Conflict, "Close it instead"):
        do(crew.office, cancel_part_order, id=order)
    comes(crew, line, undoes_id=came)
    do(crew.office, cancel_part_order, id=order)
    assert states(crew, order, need) == ("cancelled", "wanted")
    with refuses(Conflict, "can't go from “Cancelled”"):
        do(crew.office, close_part_order, id=order)
    with refuses(Conflict, "wasn't sent"):
        comes(crew, line)


def test_a_need_that_was_fitted_otherwise_is_left_alone(crew: Crew, job: UUID, supplier: UUID) -> None:
    need, order = a_need(crew, job), a_draft(crew, supplier)
    line = a_line(crew, order, need_id=need)
    send(crew, order)
    do(crew.mechanic, fit_part, id=need, fitted_at=EIGHT)
    comes(crew, line)
    assert states(crew, order, need) == ("closed", "fitted")


def test_an_order_goes_out_as_a_mail_of_the_outbox(crew: Crew, supplier: UUID) -> None:
    order = a_draft(crew, supplier, note="Side door.")
    with refuses(Conflict, "nothing on this order"):
        do(crew.office, mail_part_order, id=order, address="parts@oakline.example", sent_at=EIGHT)
    a_line(crew, order, quantity="2")
    with refuses(Invalid, "this supplier has none"):
        do(crew.office, mail_part_order, id=order, sent_at=EIGHT)
    do(crew.office, mail_part_order, id=order, address="parts@oakline.example", sent_at=EIGHT)
    with in_shop(crew.shop_id):
        notice = Notice.objects.get(about_kind="part_order", about_id=order)
        assert (notice.channel, notice.address, notice.name) == ("email", "parts@oakline.example", "Oakline Supply")
        assert notice.values["parts"] == "2 x BX-41, Deck belt\n\nOur customer number: C-88\n\nSide door."
        assert notice.values["order"] == "PO-1001"
        sent = PartOrder.objects.get(id=order)
        assert (sent.state, sent.sent_how, sent.sent_at) == ("sent", "mail", EIGHT)


def a_return(crew: Crew, supplier: UUID, **more: Any) -> UUID:
    fields = {"id": uuid7(), "supplier_id": supplier, "description": "Starter", "quantity": "1", "reason": "core"}
    return made(crew.mechanic, add_part_return, **fields | more)


def refunded(crew: Crew, row: UUID, amount: int, **more: Any) -> tuple[str, int | None]:
    do(crew.office, refund_part_return, id=row, amount_minor=amount, refunded_on="2026-05-20", **more)
    with in_shop(crew.shop_id):
        found = PartReturn.objects.get(id=row)
        return found.state, found.refunded_minor


def test_a_core_charge_is_followed_until_it_is_back(crew: Crew, supplier: UUID) -> None:
    order = a_draft(crew, supplier)
    line = a_line(crew, order, core_minor=4500)
    row = a_return(crew, supplier, order_line_id=line, expected_minor=4500)
    do(crew.mechanic, send_part_return, id=row, sent_on="2026-05-06")
    assert refunded(crew, row, 2000) == ("sent", 2000)
    assert refunded(crew, row, 2500) == ("refunded", 4500)
    assert refunded(crew, row, -500) == ("sent", 4000)
    assert refunded(crew, row, 0, rest_lost=True) == ("refunded", 4000)
    with refuses(Invalid, "more than what was refunded"):
        refunded(crew, row, -4001)
    with refuses(Conflict, "can't be deleted"):
        do(crew.mechanic, remove_part_return, id=row)


def test_a_return_refused_by_the_supplier_may_be_refunded_after_all(crew: Crew, supplier: UUID) -> None:
    row = a_return(crew, supplier, reason="warranty", expected_minor=900)
    do(crew.office, refuse_part_return, id=row, note="Past the year.")
    with in_shop(crew.shop_id):
        assert PartReturn.objects.get(id=row).note == "Past the year."
    assert refunded(crew, row, 400) == ("to_send", 400)
    assert refunded(crew, row, 500) == ("refunded", 900)


def test_a_part_not_needed_is_sent_back_for_its_job(crew: Crew, job: UUID, supplier: UUID) -> None:
    need, order = a_need(crew, job), a_draft(crew, supplier)
    line = a_line(crew, order, need_id=need)
    send(crew, order)
    comes(crew, line)
    row = a_return(crew, supplier, reason="not_needed", need_id=need, order_line_id=line)
    do(crew.mechanic, send_part_return, id=row, sent_on="2026-05-06")
    assert states(crew, order, need) == ("closed", "sent_back")
    with in_shop(crew.shop_id):
        assert PartOrderLine.objects.get(id=line).returns.get().sent_on is not None


def test_a_return_names_the_supplier_of_its_line(crew: Crew, supplier: UUID) -> None:
    other = made(crew.office, add_supplier, id=uuid7(), name="Benton Parts")
    line = a_line(crew, a_draft(crew, supplier))
    with refuses(Invalid, "ordered from"):
        a_return(crew, other, order_line_id=line)


@pytest.mark.parametrize("paper_size", ["letter", "a4"])
def test_an_order_as_pdf_says_what_is_ordered(
    crew: Crew, supplier: UUID, settings: Settings, tmp_path: Path, paper_size: str
) -> None:
    settings.DATA_DIR = tmp_path
    with in_shop(crew.shop_id):
        Shop.objects.filter(id=crew.shop_id).update(paper_size=paper_size)
    order = a_draft(crew, supplier, note="Leave it at the side door.")
    a_line(crew, order, quantity="1.5", cost_minor=1234)
    assert Browser(crew.office).get(f"part-orders/{order}/pdf").status_code == 409
    do(crew.office, print_part_order, id=order)
    with in_shop(crew.shop_id):
        make_order_pdf(actor=system_actor(crew.shop_id), order_id=order)
    assert Browser(crew.mechanic).get(f"part-orders/{order}/pdf").status_code == 403
    answer = Browser(crew.office).get(f"part-orders/{order}/pdf")
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    pdf = bytes(answer.content)
    text = " ".join(each.extract_text() for each in PdfReader(BytesIO(pdf)).pages)
    for words in ("PO-1001", "Oakline Supply", "C-88", "1.5", "BX-41", "Deck belt", "$12.34", "side door"):
        assert words in text
    # Outside check: page-validation's PDF/UA-1 profile.
    assert page.validate_pdf_bytes(pdf, profile=page.ValidationProfile.PDF_UA_1).is_compliant


def test_an_edit_of_cost_or_price_says_again_whether_a_part_is_above_the_agreed(crew: Crew, job: UUID) -> None:
    """At 40 % on the cost, 1428 is 1999.2, so 1999, and 1430 is 2002."""
    need = a_need(crew, job, agreed_minor=2000)
    found = []
    edits = ({"cost_minor": 1430}, {"cost_minor": 1428}, {"price_minor": 2001}, {"price_minor": 2000}, {"note": "Old"})
    for edit in edits:
        before = Browser(crew.office).get(f"part-needs/{need}").json()
        do(crew.office, edit_part_need, id=need, base={name: before[name] for name in edit}, set=edit)
        found.append(Browser(crew.mechanic).get(f"part-needs/{need}").json()["above_agreed"])
    assert found == [True, False, True, False, False]


def test_who_sees_no_costs_is_told_that_a_part_is_above_the_agreed(crew: Crew, job: UUID, supplier: UUID) -> None:
    order = a_draft(crew, supplier)
    # At 40 % on the cost, 1200 is 1680 and 1725 is 2415.
    needs = [a_need(crew, job, agreed_minor=2000) for _ in range(2)]
    lines = [a_line(crew, order, need_id=need) for need in needs]
    send(crew, order)
    for line, cost in zip(lines, (1200, 1725), strict=True):
        comes(crew, line, cost_minor=cost)
    rows = [Browser(crew.mechanic).get(f"part-needs/{need}").json() for need in needs]
    assert [(row["above_agreed"], row["cost_minor"]) for row in rows] == [(False, None), (True, None)]
