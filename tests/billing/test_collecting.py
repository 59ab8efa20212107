"""What is billed on a job, and how far: from accepted lines, clocks and parts to the refusal beyond what was agreed."""

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from shopapi.billing.models import Invoice, InvoiceLine
from shopapi.billing.services.invoices import put_invoice_line, remove_invoice_line
from shopapi.billing.services.issuing import issue_invoice
from shopapi.billing.services.settings import edit_billing_settings
from shopapi.core.clock import held_at, now
from shopapi.core.errors import DomainError
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import Stop
from shopapi.jobs.models import Job
from shopapi.jobs.services import move_job
from shopapi.labor.services.clock import stop_clock
from shopapi.quotes.models import Line
from shopapi.quotes.services.drafts import offer_quote, put_quote_line
from shopapi.quotes.services.intake_terms import record_intake_terms
from tests.factories import bills, rigs, work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def collected(crew: Crew, job: UUID) -> tuple[UUID, list[InvoiceLine]]:
    invoice_id = bills.an_invoice(crew.mechanic, job, lines=None)
    with in_shop(crew.shop_id):
        return invoice_id, list(InvoiceLine.objects.filter(invoice=invoice_id).order_by("position"))


def refusal(crew: Crew, **args: Any) -> DomainError:
    with pytest.raises(DomainError) as refused:
        do(crew.mechanic, issue_invoice, **args)
    return refused.value


def test_accepted_lines_are_billed_once_each_with_its_line_of_the_quote(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    quote = work.an_offer(crew.owner, job)
    work.a_decision(crew.owner, quote, accept=1)
    with in_shop(crew.shop_id):
        accepted = Line.objects.get(quote=quote, decided="accepted")
    invoice_id, lines = collected(crew, job)
    assert [(line.kind, line.source, line.quote_line_id) for line in lines] == [("labor", "quote", accepted.id)]
    do(crew.mechanic, issue_invoice, **bills.issue_of(crew.mechanic, invoice_id))
    assert collected(crew, job)[1] == []


def test_labor_by_time_is_billed_by_the_clock_up_to_the_hours_agreed(crew: Crew) -> None:
    do(crew.owner, edit_billing_settings, id=crew.shop_id, base={"labor": "as_quoted"}, set={"labor": "by_time"})
    billed = []
    for member, minutes in ((crew.mechanic, 45), (crew.office, 600)):
        job = bills.an_agreed_job(crew.owner)
        with in_shop(crew.shop_id):
            line_id = Line.objects.get(quote__job=job, kind="labor").id
        started = now() - timedelta(minutes=minutes)
        entry = work.a_clock(member, job, started_at=started, line_id=line_id)
        do(member, stop_clock, id=entry, ended_at=started + timedelta(minutes=minutes))
        _, lines = collected(crew, job)
        billed += [(str(line.hours.normalize()), line.source) for line in lines if line.hours is not None]
    assert billed == [("0.75", "clock"), ("1.5", "clock")]


def test_beyond_what_was_agreed_is_refused_until_it_is_asked_for(crew: Crew) -> None:
    job = bills.an_agreed_job(crew.owner)
    invoice_id, _ = collected(crew, job)
    fee = {"id": uuid7(), "position": 9, "kind": "fee", "rank": "needed", "words": "Disposal", "fixed_minor": 500}
    do(crew.mechanic, put_invoice_line, invoice_id=invoice_id, **fee)
    refused = refusal(crew, **bills.issue_of(crew.mechanic, invoice_id))
    assert (refused.code, refused.fields[0].field) == ("invoice_beyond_agreed", "lines")
    assert refused.fields[0].context == {"agreed": "$163.00", "beyond": "$5.00"}

    added = work.a_draft(crew.owner, job, kind="added")
    asked = {**fee, "id": uuid7()}
    do(crew.owner, put_quote_line, quote_id=added, **asked)
    do(crew.owner, offer_quote, **work.offer_of(crew.owner, added))
    work.a_decision(crew.owner, added)
    do(crew.mechanic, issue_invoice, **bills.issue_of(crew.mechanic, invoice_id))


def test_the_tolerance_and_storage_are_not_refused(crew: Crew) -> None:
    do(crew.owner, edit_billing_settings, id=crew.shop_id, base={"tolerance_minor": 0}, set={"tolerance_minor": 500})
    job = bills.an_agreed_job(crew.owner)
    invoice_id, _ = collected(crew, job)
    fee = {"id": uuid7(), "position": 9, "kind": "fee", "rank": "needed", "words": "Disposal", "fixed_minor": 500}
    storage = {**fee, "id": uuid7(), "words": "Storage, 9 days", "fixed_minor": 9000, "source": "storage"}
    do(crew.mechanic, put_invoice_line, invoice_id=invoice_id, **fee)
    do(crew.mechanic, put_invoice_line, invoice_id=invoice_id, **storage)
    do(crew.mechanic, issue_invoice, **bills.issue_of(crew.mechanic, invoice_id))
    with in_shop(crew.shop_id):
        assert Invoice.objects.get(id=invoice_id).state == "issued"


def test_a_second_invoice_counts_what_the_first_one_billed(crew: Crew) -> None:
    job = bills.an_agreed_job(crew.owner)
    first, _ = collected(crew, job)
    do(crew.mechanic, issue_invoice, **bills.issue_of(crew.mechanic, first))
    second = bills.an_invoice(crew.mechanic, job)
    assert refusal(crew, **bills.issue_of(crew.mechanic, second)).fields[0].context["beyond"] == "$163.00"
    bills.an_issued_credit_note(crew.office, first)
    do(crew.mechanic, issue_invoice, **bills.issue_of(crew.mechanic, second))


def test_without_a_quote_only_the_diagnosis_told_at_intake_is_billed(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    fee = {"id": uuid7(), "position": 0, "kind": "fee", "rank": "needed", "words": "Diagnosis", "fixed_minor": 4500}
    invoice_id = bills.an_invoice(crew.mechanic, job, lines=[fee])
    assert refusal(crew, **bills.issue_of(crew.mechanic, invoice_id)).code == "invoice_beyond_agreed"
    told = {"diagnosis_fee_minor": 4500, "accepted_by_name": "Winnie Stroud", "accepted_at": now()}
    do(crew.mechanic, record_intake_terms, id=uuid7(), job_id=job, **told)
    do(crew.mechanic, issue_invoice, **bills.issue_of(crew.mechanic, invoice_id))


def a_stored_job(crew: Crew, *, told_days_ago: int | None, **terms: Any) -> UUID:
    """A job that is ready, with storage told at intake, and a message that it is ready so many days ago."""
    job = bills.an_agreed_job(crew.owner)
    told = {"storage_free_days": 7, "storage_per_day_minor": 300, "accepted_by_name": "Winnie Stroud", **terms}
    do(crew.mechanic, record_intake_terms, id=uuid7(), job_id=job, accepted_at=now(), **told)
    with in_shop(crew.shop_id):
        Job.objects.filter(id=job).update(stage="ready")
    if told_days_ago is not None:
        sent_at = now() - timedelta(days=told_days_ago)
        work.a_message(crew.owner, job, template="machine_ready", address="winnie@stroud.example", sent_at=sent_at)
    return job


def test_storage_is_billed_where_it_is_chosen_by_the_notice_that_was_sent(crew: Crew) -> None:
    job = a_stored_job(crew, told_days_ago=10)
    assert {line.source for line in collected(crew, job)[1]} <= {"quote", "clock", "part"}
    invoice_id = bills.an_invoice(crew.mechanic, job, lines=None, storage=True)
    with in_shop(crew.shop_id):
        (line,) = InvoiceLine.objects.filter(invoice=invoice_id, source="storage")
    assert (line.kind, line.fixed_minor) == ("fee", 900), "10 days since the notice, 7 of them free"
    assert "by message to winnie@stroud.example" in line.words
    again = bills.an_invoice(crew.mechanic, job, lines=None, storage=True)
    with in_shop(crew.shop_id):
        assert not InvoiceLine.objects.filter(invoice=again, source="storage").exists(), "billed once"


@pytest.mark.parametrize(
    ("told_days_ago", "terms", "stage"),
    [
        (None, {}, "ready"),
        (10, {"storage_free_days": None, "storage_per_day_minor": None, "diagnosis_fee_minor": 500}, "ready"),
        (5, {}, "ready"),
        (10, {}, "repair"),
        (10, {}, "returned"),
    ],
    ids=["no notice", "not told at intake", "still free", "worked on again", "no return recorded"],
)
def test_no_storage_without_its_evidence(
    crew: Crew, told_days_ago: int | None, terms: dict[str, Any], stage: str
) -> None:
    job = a_stored_job(crew, told_days_ago=told_days_ago, **terms)
    with in_shop(crew.shop_id):
        Job.objects.filter(id=job).update(stage=stage)
    invoice_id = bills.an_invoice(crew.mechanic, job, lines=None, storage=True)
    with in_shop(crew.shop_id):
        assert not InvoiceLine.objects.filter(invoice=invoice_id, source="storage").exists()


def a_line_of_storage(crew: Crew, job: UUID) -> InvoiceLine:
    invoice_id = bills.an_invoice(crew.mechanic, job, lines=None, storage=True)
    with in_shop(crew.shop_id):
        return InvoiceLine.objects.get(invoice=invoice_id, source="storage")


def test_days_of_work_after_it_was_ready_are_not_storage(crew: Crew) -> None:
    """Told on day 0, worked on again on day 10, ready on day 14, told again on day 16, billed on day 20.

    9 days up to the one before it was worked on again and 4 after the second notice, 7 of them free.
    """
    start = now()
    with held_at(start):
        job = a_stored_job(crew, told_days_ago=0)
    with held_at(start + timedelta(days=10)):
        do(crew.mechanic, move_job, id=job, stage="repair")
    with held_at(start + timedelta(days=14)):
        do(crew.mechanic, move_job, id=job, stage="testing")
        do(crew.mechanic, move_job, id=job, stage="ready")
    with held_at(start + timedelta(days=15)):
        before = a_line_of_storage(crew, job)
        assert before.fixed_minor == 2 * 300, "ready again, and not told"
        do(crew.mechanic, remove_invoice_line, id=before.id)
    told_again = start + timedelta(days=16)
    work.a_message(crew.owner, job, template="machine_ready", address="winnie@stroud.example", sent_at=told_again)
    with held_at(start + timedelta(days=20)):
        line = a_line_of_storage(crew, job)
    assert line.fixed_minor == 6 * 300
    assert line.words.startswith("Storage: 13 days from ")
    assert "7 of them free" in line.words
    assert "Not counted: from when it was worked on again until we told you again." in line.words


def a_driven_stop(crew: Crew, job: UUID, kind: str, *, days_ago: int = 0) -> UUID:
    site = work.a_site(crew.owner, bills.customer_of(crew.owner, job))
    stop = rigs.a_stop(crew.owner, job, kind=kind, site_id=site)
    with in_shop(crew.shop_id):
        Stop.objects.filter(id=stop).update(state="left", left_at=now() - timedelta(days=days_ago))
    return stop


def test_storage_ends_on_the_day_of_the_return(crew: Crew) -> None:
    job = a_stored_job(crew, told_days_ago=20)
    a_driven_stop(crew, job, "return", days_ago=11)
    with in_shop(crew.shop_id):
        Job.objects.filter(id=job).update(stage="returned")
    invoice_id = bills.an_invoice(crew.mechanic, job, lines=None, storage=True)
    with in_shop(crew.shop_id):
        assert InvoiceLine.objects.get(invoice=invoice_id, source="storage").fixed_minor == 2 * 300


def a_book_by_zone(crew: Crew, *zones: tuple[str, int]) -> dict[str, Any]:
    travel = {"mode": "zone", "minor_per_unit": 0, "unit": "mi", "free_units": "0", "minimum_minor": 0}
    listed = [{"key": key, "label": key.title(), "minor": minor} for key, minor in zones]
    return work.a_basis(crew.owner) | {"travel": travel | {"zones": listed}}


def test_trips_that_were_driven_are_billed_once_and_no_further_than_agreed(crew: Crew) -> None:
    job = bills.an_agreed_job(crew.owner)
    stop = a_driven_stop(crew, job, "pickup")
    a_driven_stop(crew, job, "visit")
    rigs.a_stop(crew.owner, job, kind="return", site_id=work.a_site(crew.owner, bills.customer_of(crew.owner, job)))
    basis = a_book_by_zone(crew, ("town", 2500))
    invoice_id = bills.an_invoice(crew.mechanic, job, lines=None, basis=basis)
    with in_shop(crew.shop_id):
        (line,) = InvoiceLine.objects.filter(invoice=invoice_id, kind="travel")
    assert (line.source, line.stop_id, line.zone_key) == ("travel", stop, "town")
    refused = refusal(crew, **bills.issue_of(crew.mechanic, invoice_id))
    assert (refused.code, refused.fields[0].context["beyond"]) == ("invoice_beyond_agreed", "$25.00")
    again = bills.an_invoice(crew.mechanic, job, lines=None, basis=basis)
    with in_shop(crew.shop_id):
        assert not InvoiceLine.objects.filter(invoice=again, kind="travel").exists()


def test_the_zone_of_a_trip_is_that_last_billed_for_the_place(crew: Crew) -> None:
    basis = a_book_by_zone(crew, ("town", 2500), ("country", 4000))
    do(crew.owner, edit_billing_settings, id=crew.shop_id, base={"tolerance_minor": 0}, set={"tolerance_minor": 9000})
    job = bills.an_agreed_job(crew.owner)
    first = a_driven_stop(crew, job, "pickup")
    with in_shop(crew.shop_id):
        site = Stop.objects.get(id=first).site_id
    invoice_id = bills.an_invoice(crew.mechanic, job, lines=None, basis=basis)
    with in_shop(crew.shop_id):
        assert not InvoiceLine.objects.filter(invoice=invoice_id, kind="travel").exists(), "no zone is known"
    trip = {"position": 9, "kind": "travel", "rank": "needed", "words": "Pickup", "source": "travel"}
    do(crew.mechanic, put_invoice_line, id=uuid7(), invoice_id=invoice_id, zone_key="country", stop_id=first, **trip)
    do(crew.mechanic, issue_invoice, **bills.issue_of(crew.mechanic, invoice_id))
    second = a_driven_stop(crew, job, "return")
    with in_shop(crew.shop_id):
        Stop.objects.filter(id=second).update(site=site)
    later = bills.an_invoice(crew.mechanic, job, lines=None, basis=basis)
    with in_shop(crew.shop_id):
        (line,) = InvoiceLine.objects.filter(invoice=later, kind="travel")
    assert (line.stop_id, line.zone_key) == (second, "country")


def test_travel_that_was_agreed_covers_the_trips(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    agreed = {"id": uuid7(), "position": 2, "kind": "travel", "rank": "needed", "words": "Pickup", "fixed_minor": 4500}
    quote = work.a_quote(crew.owner, job)
    do(crew.owner, put_quote_line, quote_id=quote, **agreed)
    do(crew.owner, offer_quote, **work.offer_of(crew.owner, quote))
    work.a_decision(crew.owner, quote)
    a_driven_stop(crew, job, "pickup")
    _, lines = collected(crew, job)
    assert [(line.kind, line.fixed_minor, line.stop_id) for line in lines if line.kind == "travel"] == [
        ("travel", 4500, None)
    ]
