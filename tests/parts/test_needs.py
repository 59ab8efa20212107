"""Parts that a job needs: what it waits on, what is fitted, what follows from a customer's answer."""

from datetime import UTC, datetime
from decimal import Decimal
from uuid import UUID

import pytest

from shopapi.core.errors import Conflict, Forbidden, Invalid, NotFound
from shopapi.core.ids import uuid7
from shopapi.core.schema import to_json
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Job, SafetyItem
from shopapi.jobs.services import remove_finding
from shopapi.parts.models import PartNeed
from shopapi.parts.services.catalog import add_catalog_part, edit_catalog_part
from shopapi.parts.services.needs import add_part_need, edit_part_need, fit_part, move_part_need, remove_part_need
from shopapi.parts.services.searches import record_part_search
from shopapi.parts.services.suppliers import add_supplier
from shopapi.quotes.services.drafts import offer_quote, put_quote_line
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.refusals import refuses
from tests.factories.work import do

EIGHT = datetime(2026, 5, 5, 8, 0, tzinfo=UTC)
NINE = datetime(2026, 5, 5, 9, 0, tzinfo=UTC)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def need_of(crew: Crew, need_id: UUID) -> PartNeed:
    with in_shop(crew.shop_id):
        return PartNeed.objects.get(id=need_id)


def needs_of(crew: Crew, job_id: UUID) -> list[tuple[UUID | None, str, str]]:
    with in_shop(crew.shop_id):
        found = PartNeed.objects.filter(job=job_id).order_by("created_at", "id")
        return list(found.values_list("line_id", "description", "state"))


def waits_of(crew: Crew, job_id: UUID) -> list[str]:
    with in_shop(crew.shop_id):
        waits: list[str] = Job.objects.get(id=job_id).waits_on
        return waits


def test_a_job_waits_until_its_parts_have_come(crew: Crew) -> None:
    job = work.a_job(crew.mechanic)
    belt, spring = work.a_part_need(crew.mechanic, job), work.a_part_need(crew.mechanic, job, description="Spring")
    assert waits_of(crew, job) == ["parts"]
    do(crew.office, move_part_need, id=belt, state="ordered")
    do(crew.office, move_part_need, id=belt, state="arrived")
    assert waits_of(crew, job) == ["parts"]
    do(crew.mechanic, remove_part_need, id=spring)
    assert waits_of(crew, job) == []
    do(crew.mechanic, move_part_need, id=belt, state="wanted")
    assert waits_of(crew, job) == ["parts"]
    do(crew.mechanic, fit_part, id=belt, fitted_at=EIGHT)
    assert waits_of(crew, job) == []


def test_waiting_for_parts_and_for_an_answer_do_not_undo_each_other(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    need = work.a_part_need(crew.owner, job)
    quote = work.an_offer(crew.owner, job)
    assert waits_of(crew, job) == ["approval", "parts"]
    work.a_decision(crew.owner, quote, accept=0)
    assert waits_of(crew, job) == ["parts"]
    do(crew.owner, move_part_need, id=need, state="cancelled")
    assert waits_of(crew, job) == []


def test_accepted_parts_are_needed(crew: Crew) -> None:
    """14.00 each: cost of 10.00 and the mark-up of 40 % that a new shop starts with."""
    job = work.a_job(crew.mechanic)
    finding = work.a_finding(crew.mechanic, job)
    quote, line = work.a_draft(crew.owner, job), uuid7()
    belt = work.part(id=line, words="Deck belt", part_number="754-1", core_minor=500)
    do(crew.owner, put_quote_line, quote_id=quote, finding_id=finding, **belt)
    do(crew.owner, put_quote_line, quote_id=quote, **work.part(position=2, words="Spring"))
    do(crew.owner, put_quote_line, quote_id=quote, **work.labor(position=3))
    do(crew.owner, offer_quote, **work.offer_of(crew.owner, quote))
    work.a_decision(crew.owner, quote, accept=1)
    assert needs_of(crew, job) == [(line, "Deck belt", "wanted")]
    need = need_of(crew, line)
    assert (need.finding_id, need.number, need.quantity) == (finding, "754-1", Decimal(2))
    assert (need.cost_minor, need.agreed_minor, need.core_minor, need.price_minor) == (1000, 1400, 500, None)
    assert waits_of(crew, job) == ["parts"]


def test_a_revision_takes_over_what_was_ordered(crew: Crew) -> None:
    job, old, new = work.a_job(crew.owner), uuid7(), uuid7()
    first = work.a_draft(crew.owner, job)
    do(crew.owner, put_quote_line, quote_id=first, **work.part(id=old, words="Deck belt", part_number="754-1"))
    do(crew.owner, put_quote_line, quote_id=first, **work.part(position=2, words="Spring"))
    do(crew.owner, offer_quote, **work.offer_of(crew.owner, first))
    work.a_decision(crew.owner, first)
    do(crew.office, move_part_need, id=old, state="ordered")
    second = work.a_draft(crew.owner, job, replaces_id=first)
    dearer = work.part(id=new, words="Deck belt", part_number="754-1", unit_cost_minor=2000)
    do(crew.owner, put_quote_line, quote_id=second, **dearer)
    do(crew.owner, offer_quote, **work.offer_of(crew.owner, second))
    work.a_decision(crew.owner, second)
    assert needs_of(crew, job) == [(new, "Deck belt", "ordered"), *needs_of(crew, job)[1:]]
    assert [(words, state) for _, words, state in needs_of(crew, job)] == [
        ("Deck belt", "ordered"),
        ("Spring", "cancelled"),
    ]
    assert need_of(crew, old).agreed_minor == 2800


def test_states_go_step_by_step(crew: Crew) -> None:
    need = work.a_part_need(crew.mechanic, work.a_job(crew.mechanic))
    with refuses(Conflict, "can't go from “Wanted” to “Back-ordered”") as refused:
        do(crew.mechanic, move_part_need, id=need, state="back_ordered")
    assert refused.value.fields[0].field == "state"
    with refuses(Invalid, "Record that the part is fitted"):
        do(crew.mechanic, move_part_need, id=need, state="fitted")


def test_a_part_is_fitted_once_whatever_was_known_of_it(crew: Crew) -> None:
    need = work.a_part_need(crew.mechanic, work.a_job(crew.mechanic))
    do(crew.mechanic, move_part_need, id=need, state="cancelled")
    do(crew.mechanic, fit_part, id=need, fitted_at=EIGHT)
    do(crew.office, fit_part, id=need, fitted_at=NINE)
    assert (need_of(crew, need).state, need_of(crew, need).fitted_at) == ("fitted", EIGHT)
    do(crew.mechanic, move_part_need, id=need, state="arrived")
    assert need_of(crew, need).fitted_at is None
    do(crew.mechanic, fit_part, id=need, fitted_at=NINE)
    assert need_of(crew, need).fitted_at == NINE


def test_a_search_is_evidence_for_the_safety_items_of_its_finding(crew: Crew) -> None:
    job = work.a_job(crew.mechanic)
    item = work.a_safety_item(crew.mechanic, job)
    need = work.a_part_need(crew.mechanic, job, finding_id=item, description="Seat switch")
    asked = {"asked": "Platte Valley Parts", "asked_at": EIGHT, "answer": "No longer made."}
    do(crew.office, record_part_search, id=uuid7(), need_id=need, alternative="22-4 with a new plug", **asked)
    with in_shop(crew.shop_id):
        kept = SafetyItem.objects.get(id=item).part_search
    assert kept == [
        {
            "where": "Platte Valley Parts",
            "answer": "No longer made. (22-4 with a new plug)",
            "asked_at": "2026-05-05T08:00:00Z",
            "member_id": to_json(crew.office.member_id),
        }
    ]
    with refuses(Conflict, "can't be deleted. Cancel it instead"):
        do(crew.mechanic, remove_part_need, id=need)
    with refuses(Conflict, "A quote, a part"):
        do(crew.mechanic, remove_finding, id=item)


def test_what_is_on_its_way_is_cancelled_and_not_deleted(crew: Crew) -> None:
    need = work.a_part_need(crew.mechanic, work.a_job(crew.mechanic))
    do(crew.office, move_part_need, id=need, state="ordered")
    with refuses(Conflict, "can't be deleted"):
        do(crew.mechanic, remove_part_need, id=need)


def test_wrong_rows_and_figures_are_refused(crew: Crew) -> None:
    job, other = work.a_job(crew.mechanic), work.a_job(crew.mechanic)
    finding = work.a_finding(crew.mechanic, other)
    named = {"job_id": job, "description": "Deck belt"}
    with refuses(Invalid, "another job") as refused:
        do(crew.mechanic, add_part_need, id=uuid7(), finding_id=finding, **named)
    assert refused.value.fields[0].field == "finding_id"
    with pytest.raises(NotFound) as missing:
        do(crew.mechanic, add_part_need, id=uuid7(), supplier_id=uuid7(), **named)
    assert missing.value.fields[0].field == "supplier_id"
    with refuses(Invalid, "can't be the same"):
        do(crew.mechanic, add_part_need, id=uuid7(), number="754-1", superseded_by="754-1", **named)
    for wrong in ({"quantity": "0"}, {"quantity": "-1"}, {"cost_minor": -1}, {"description": ""}):
        with pytest.raises(Invalid) as fault:
            do(crew.mechanic, add_part_need, id=uuid7(), **named | wrong)
        assert fault.value.fields[0].field == next(iter(wrong))
    need = work.a_part_need(crew.mechanic, job, number="754-1")
    with refuses(Invalid, "can't be the same"):
        do(
            crew.mechanic,
            edit_part_need,
            id=need,
            base={"superseded_by": ""},
            set={"superseded_by": "754-1"},
        )


def test_suppliers_are_for_those_who_order_the_catalog_for_all(crew: Crew) -> None:
    with pytest.raises(Forbidden):
        do(crew.mechanic, add_supplier, id=uuid7(), name="Platte Valley Parts")
    supplier = work.a_supplier(crew.office)
    part = do(crew.mechanic, add_catalog_part, id=uuid7(), description="Deck belt", supplier_id=supplier)
    do(crew.mechanic, edit_catalog_part, id=part.id, base={"bin": ""}, set={"bin": "B 4"})
    with in_shop(crew.shop_id):
        part.refresh_from_db()
        assert (part.bin, part.supplier_id, part.minimum) == ("B 4", supplier, 0)
