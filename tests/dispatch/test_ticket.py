"""The ticket of a job: its text, its PDF, the message to the customer and the link."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from io import BytesIO
from typing import Any
from unittest.mock import patch
from uuid import UUID

import pytest
from django.test import Client
from pypdf import PdfReader

from shopapi.accounts.queries import system_actor
from shopapi.core.clock import now
from shopapi.core.errors import Invalid
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.customers.services import edit_customer
from shopapi.dispatch.models import Printout
from shopapi.dispatch.rules.ticket import TicketCustomer, how_to_contact
from shopapi.dispatch.services import ticket_links
from shopapi.dispatch.services.hand_overs import hand_over
from shopapi.dispatch.services.printouts import make_printout, print_run
from shopapi.dispatch.services.ticket_links import read_token, token_of
from shopapi.dispatch.services.tickets import print_ticket, send_ticket
from shopapi.documents.services.storage import read_document
from shopapi.jobs.models import Job
from shopapi.machines.services import record_meter
from shopapi.notices.models import Notice
from shopapi.notices.services.delivery import final_texts
from shopapi.quotes.services import intake_terms
from shopapi.quotes.services.intake_terms import record_intake_terms
from tests.factories import rigs, work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


ADA = TicketCustomer("Ada Finch", "", "555 0199", "", "ada@finch.example", "", "")


@pytest.mark.parametrize(
    ("wish", "said"),
    [
        ("", "We call or text 555 0199."),
        ("call", "We call 555 0199."),
        ("text", "We text 555 0199."),
        ("email", "We write to ada@finch.example."),
    ],
)
def test_the_ticket_says_how_the_shop_reaches_the_customer(wish: str, said: str) -> None:
    assert how_to_contact(TicketCustomer(**{**vars(ADA), "contact_by": wish})) == said


def test_a_wish_without_its_address_falls_back_to_what_is_known() -> None:
    assert how_to_contact(TicketCustomer(**{**vars(ADA), "contact_by": "email", "email": ""})) == (
        "We call or text 555 0199."
    )
    assert how_to_contact(TicketCustomer(**{**vars(ADA), "contact_by": "call", "phone": ""})) == (
        "We write to ada@finch.example."
    )
    assert how_to_contact(TicketCustomer(**{**vars(ADA), "phone": "", "email": ""})) == ""


def _job(crew: Crew, **more: Any) -> UUID:
    customer = work.a_customer(crew.owner, name="Otis Lindqvist", phone="555-014-2210", email="otis@l.example")
    machine = work.a_machine(crew.owner, customer, make="Hartvale", serial="0042-B")
    do(crew.owner, record_meter, id=uuid7(), machine_id=machine, hours=Decimal("412.5"), read_on=date(2026, 5, 2))
    job = work.a_job(crew.owner, customer_id=customer, machine_id=machine, **more)
    work.a_complaint(crew.owner, job)
    return job


def _terms(crew: Crew, job: UUID, **more: Any) -> None:
    told = {"diagnosis_fee_minor": 6500, "diagnosis_credited": True, "storage_free_days": 30}
    said = {"storage_per_day_minor": 300, "accepted_by_name": "Otis", "accepted_at": now()}
    do(crew.owner, record_intake_terms, id=uuid7(), job_id=job, **{**told, **said, **more})


def _text(crew: Crew, job: UUID) -> str:
    printout_id = uuid7()
    do(crew.mechanic, print_ticket, id=printout_id, job_id=job)
    return _made(crew, printout_id)


def _made(crew: Crew, printout_id: UUID) -> str:
    with in_shop(crew.shop_id):
        make_printout(actor=system_actor(crew.shop_id), printout_id=printout_id)
        printout = Printout.objects.get(id=printout_id)
        assert (printout.kind, printout.state, printout.reason) == ("ticket", "ready", "")
        content = read_document(actor=crew.owner, document=printout.document)
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(content)).pages).split())


def test_a_ticket_prints_what_was_taken_down_and_agreed(crew: Crew) -> None:
    job = _job(crew, urgency="down", promised_on=date(2026, 6, 30), arrives_by="drop_off")
    _terms(crew, job)
    text = _text(crew, job)
    for words in (
        "J-1001",
        "Otis Lindqvist",
        "Hartvale",
        "serial 0042-B",
        "Hour meter 412.5 h, May 2, 2026",
        "“It will not turn over.”",
        "Down, losing money; needed by Jun 30, 2026",
        "You bring it",
        "We call or text 555-014-2210.",
        "Diagnosis: $65.00, credited against the repair if you have us do it.",
        "Storage: free for 30 days after we tell you it is ready, then $3.00 a day.",
        "Told to Otis and accepted,",
    ):
        assert words in text, (words, text)
    assert "Condition at check-in" not in text
    assert "Signed" not in text


def test_a_ticket_without_terms_says_nothing_of_them(crew: Crew) -> None:
    text = _text(crew, _job(crew))
    assert "No hurry" in text
    for words in ("What we agreed on", "Diagnosis", "Storage", "How it comes"):
        assert words not in text


def test_the_last_terms_count(crew: Crew) -> None:
    job = _job(crew)
    _terms(crew, job, accepted_at=datetime(2026, 5, 2, 9, tzinfo=UTC))
    _terms(crew, job, accepted_at=datetime(2026, 5, 2, 10, tzinfo=UTC), diagnosis_fee_minor=8000)
    text = _text(crew, job)
    assert "$80.00" in text
    assert "$65.00" not in text


def test_terms_of_the_future_are_refused(crew: Crew) -> None:
    job = _job(crew)
    with pytest.raises(Invalid) as refused:
        _terms(crew, job, accepted_at=datetime(2031, 5, 2, 9, tzinfo=UTC))
    (fault,) = refused.value.fields
    assert (fault.field, fault.reason.code) == ("accepted_at", "given_in_future")
    # A clock that is a little ahead says nothing wrong.
    _terms(crew, job, accepted_at=now() + timedelta(minutes=4))


def test_terms_recorded_with_a_later_time_do_not_outrank_those_that_follow(crew: Crew) -> None:
    job = _job(crew)
    # As an earlier version of this server recorded them.
    with patch.object(intake_terms, "now", lambda: now() + timedelta(days=9999)):
        _terms(crew, job, accepted_at=datetime(2031, 5, 2, 9, tzinfo=UTC))
    _terms(crew, job, diagnosis_fee_minor=8000)
    text = _text(crew, job)
    assert "$80.00" in text
    assert "$65.00" not in text


def test_half_a_storage_is_refused(crew: Crew) -> None:
    with pytest.raises(Invalid) as refused:
        _terms(crew, _job(crew), storage_free_days=None)
    assert [fault.code for fault in refused.value.fields] == ["half_storage"]


def test_a_ticket_prints_the_signed_check_in(crew: Crew) -> None:
    customer = work.a_customer(crew.owner)
    job = work.a_job(crew.owner, customer_id=customer, site_id=work.a_site(crew.owner, customer), arrives_by="pickup")
    assert "We pick it up" in _text(crew, job)
    do(
        crew.mechanic,
        hand_over,
        id=uuid7(),
        stop_id=rigs.a_stop(crew.owner, job),
        at=now(),
        condition=[{"part": "deck", "state": "worn", "note": "Rust at the left edge"}],
        keys="One, on a red tag",
        fuel="half",
        signer_name="Winnie Stroud",
        signature={"id": uuid7(), "strokes": work.INK, "width": 320, "height": 120},
    )
    text = _text(crew, job)
    for words in (
        "Mower deck",
        "Worn",
        "Rust at the left edge",
        "One, on a red tag",
        "We picked it up,",
        "Signed at check-in",
        "Winnie Stroud",
    ):
        assert words in text, (words, text)


def _sent(crew: Crew, job: UUID, **more: Any) -> tuple[UUID, Notice]:
    printout_id = uuid7()
    args = {"channel": "email", "address": "otis@l.example", **more}
    do(crew.mechanic, send_ticket, id=printout_id, job_id=job, **args)
    with in_shop(crew.shop_id):
        return printout_id, Notice.objects.get(template="machine_received")


def test_the_message_names_the_machine_and_links_to_the_ticket(crew: Crew, client: Client) -> None:
    job = _job(crew)
    printout_id, notice = _sent(crew, job, name="Otis")
    assert (notice.about_kind, notice.about_id, notice.address) == ("job", job, "otis@l.example")
    with in_shop(crew.shop_id):
        subject, body = final_texts(crew.mechanic, notice)
    path = f"/ticket/{token_of(crew.shop_id, printout_id)}"
    assert subject.startswith("We have your ")
    assert "J-1001" in subject
    assert "Hello Otis," in body
    assert path in body
    # The secret is in the message alone, not in what devices store.
    assert path not in str(notice.values)

    early = client.get(path)
    assert (early.status_code, early["Retry-After"]) == (503, "30")
    assert "Open this link again in a minute." in early.content.decode()
    _made(crew, printout_id)
    shown = client.get(path)
    assert (shown.status_code, shown["Content-Type"]) == (200, "application/pdf")
    assert (shown["Cache-Control"], shown["Referrer-Policy"]) == ("no-store", "no-referrer")
    assert shown.content.startswith(b"%PDF")


def test_a_ticket_link_ends_after_a_year(crew: Crew, client: Client) -> None:
    printout_id, _ = _sent(crew, _job(crew))
    _made(crew, printout_id)
    with patch.object(ticket_links, "now", lambda: now() + ticket_links.LIFETIME):
        assert client.get(f"/ticket/{token_of(crew.shop_id, printout_id)}").status_code == 410


def test_a_changed_secret_opens_nothing(crew: Crew, client: Client) -> None:
    printout_id, _ = _sent(crew, _job(crew))
    token = token_of(crew.shop_id, printout_id)
    assert read_token(token) == (crew.shop_id, printout_id)
    foreign = token_of(uuid7(), printout_id)
    wrong = [
        f"{'B' if token[0] == 'A' else 'A'}{token[1:]}",
        token[:-4],
        f"{token}AAAA",
        "x",
        foreign[:40] + token[40:],
    ]
    for each in wrong:
        assert read_token(each) is None, each
        assert client.get(f"/ticket/{each}").status_code == 404, each


def test_a_link_opens_no_other_pdf(crew: Crew, client: Client) -> None:
    """The secret of another kind of printout is not one of a ticket, although its signature is right."""
    run = rigs.a_run(crew.owner, rigs.a_rig(crew.owner))
    printout_id = uuid7()
    do(crew.owner, print_run, id=printout_id, run_id=run)
    assert client.get(f"/ticket/{token_of(crew.shop_id, printout_id)}").status_code == 410


def test_a_ticket_names_the_second_phone(crew: Crew) -> None:
    job = _job(crew)
    with in_shop(crew.shop_id):
        customer = Job.objects.get(id=job).customer_id
    do(
        crew.owner,
        edit_customer,
        id=customer,
        base={"second_phone": "", "contact_by": ""},
        set={"second_phone": "555-015-7788", "contact_by": "call"},
    )
    text = _text(crew, job)
    assert "555-015-7788" in text
    assert "We call 555-014-2210." in text
