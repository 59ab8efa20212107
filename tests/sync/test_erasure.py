"""Erasure of a customer: the whole database is searched for what was known of them."""

import json
import random
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

import pytest
from django.core.management import CommandError, call_command
from django.test import Client

from shopapi.accounts.services.tokens import make_token
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer, CustomerImport
from shopapi.dispatch.models import DrivenLeg, Stop
from shopapi.dispatch.services.ticket_links import token_of
from shopapi.dispatch.services.tickets import send_ticket
from shopapi.files.models import Attachment
from shopapi.jobs.services import move_job
from shopapi.notices.services.preferences import opt_out
from shopapi.quotes.models import ApprovalLink, Quote
from shopapi.quotes.services.intake_terms import record_intake_terms
from shopapi.sync.services.erasure import PERSONAL_FIELDS, customer_lookups
from tests.customers.test_imports import imported, run_due, start, uploaded
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.rigs import a_rig, a_run, a_stop, a_yard
from tests.sync import invariants, scenario
from tests.sync.invariants import query
from tests.sync.simulated_phone import Response, SimulatedPhone, Transport

# Occurs in everything that is known of the customer.
MARK = "Zylphine"
A_DRIVE = {"left_at": datetime(2026, 5, 1, 9, tzinfo=UTC), "seconds": 600}


def in_process(crew: Crew) -> Transport:
    assert crew.owner.member_id is not None
    key = make_token(actor=crew.owner, member_id=crew.owner.member_id, label="phone")

    def send(method: str, path: str, body: Any, headers: dict[str, str]) -> Response:
        standard = {"Authorization": f"Token {key}"}
        sent: dict[str, Any] = {} if body is None else {"data": json.dumps(body), "content_type": "application/json"}
        answer = Client().generic(method, path, headers=standard | headers, **sent)
        return Response(answer.status_code, answer.json() if answer.content else None)

    return send


def tables_with(text: str) -> set[str]:
    names = [name for (name,) in query("SELECT tablename FROM pg_tables WHERE schemaname = 'public'")]
    return {name for name in names if query(f"SELECT 1 FROM {name} t WHERE t::text LIKE %s LIMIT 1", f"%{text}%")}


def known_customer(phone: SimulatedPhone) -> tuple[str, str, scenario.QuoteDraft]:
    """A customer with many rows, by push and by REST: a job, an offer and a decision."""
    who = {"name": f"Ada {MARK}", "person": f"Bo {MARK}", "email": f"ada@{MARK}.example", "address": f"7 {MARK} Way"}
    customer_id = scenario.create_row(phone, "add_customer", **who, phone="(555) 010-7766", notes=f"{MARK} is deaf")
    change = {"base": {"phone": "(555) 010-7766"}, "set": {"phone": "(555) 010-8899"}}
    phone.write("edit_customer", id=customer_id, **change)
    site = {"label": f"{MARK} barn", "address": f"7 {MARK} Way", "access_notes": f"Call {MARK}"}
    site_id = scenario.create_row(phone, "add_site", customer_id=customer_id, **site, lat="43.512345", lon="-116.25")
    machine = {"customer_id": customer_id, "kind": "mower", "notes": f"{MARK} bought it used"}
    machine_id = scenario.create_row(phone, "add_machine", **machine)
    job = {"customer_id": customer_id, "machine_id": machine_id, "site_id": site_id, "mark": "A-1"}
    job_id = scenario.create_row(phone, "open_job", **job)
    phone.write("edit_job", id=job_id, base={"notes": ""}, set={"notes": f"Ask for {MARK}"})
    scenario.create_row(phone, "add_complaint", job_id=job_id, words=f"{MARK}: it will not start")
    drawn = scenario.start_quote(phone, job_id, customer=who["name"], machine="mower")
    scenario.add_line(phone, drawn, 2550)
    scenario.offer_quote(phone, drawn, shop="Bench & Bar")
    scenario.decide_quote(phone, drawn, 1)
    phone.sync()
    assert {entry.status for entry in phone.outbox} == {"applied"}
    key = phone.new_id()
    rest = {"id": phone.new_id(), "job_id": job_id, "words": f"By REST: {MARK} again"}
    assert phone.call("POST", "complaints", rest, **{"Idempotency-Key": key}).status == 201
    return customer_id, job_id, drawn


@pytest.fixture
def crew(committed_db: None) -> Crew:
    return open_crew()


def test_erasure_leaves_only_offers_and_decisions(crew: Crew) -> None:
    send = in_process(crew)
    phone, other = SimulatedPhone(send, random.Random(1)), SimulatedPhone(send, random.Random(2))  # noqa: S311
    customer_id, job_id, drawn = known_customer(phone)
    work.a_message(crew.owner, UUID(job_id), address="(555) 010-8899", body=f"Dear {MARK}, on our way.")
    work.do(crew.owner, opt_out, id=phone.new_id(), channel="sms", address="(555) 010-8899")
    neighbour = work.a_customer(crew.owner, name="Nora Next", notes="Beside the barn")
    a_yard(crew.owner)
    stop = a_stop(crew.owner, UUID(job_id), notes=f"{MARK} has the key")
    run = a_run(crew.owner, a_rig(crew.owner), stop)
    there = {"to_lat": "43.512345", "to_lon": "-116.25"}
    DrivenLeg.objects.using("owner").create(
        shop_id=crew.shop_id, run_id=run, stop_id=stop, from_lat=43, from_lon=-116, **there, **A_DRIVE
    )
    other.sync()
    owner = "owner@bench.example"
    with pytest.raises(CommandError, match="Close or cancel"):
        call_command("erase_customer", owner, customer_id)
    with pytest.raises(CommandError, match="role"):
        call_command("erase_customer", "mechanic@bench.example", customer_id)
    assert len(tables_with(MARK)) > 8, "nothing is erased by halves"
    phone.write("move_job", id=job_id, stage="cancelled")
    # Held time of a rejected job: the issue names the customer.
    refused = {"customer_id": customer_id, "machine_id": phone.rows("job")[job_id]["machine_id"], "mark": "x" * 200}
    refused_id = scenario.create_row(phone, "open_job", **refused)
    scenario.create_row(phone, "start_clock", kind="repair", job_id=refused_id, started_at=scenario.TODAY.isoformat())
    phone.sync()
    (issue,) = invariants.table_rows("core_issue", crew.shop_id)
    assert MARK in issue["theirs"]["job"]
    evidence = [
        invariants.table_rows(name, crew.shop_id) for name in ("quotes_approval", "quotes_signature", "quotes_line")
    ]

    call_command("erase_customer", owner, customer_id)

    # Offers stay word for word, as their digest and record-keeping require.
    assert tables_with(MARK) == {"quotes_quote"}
    for known in ("010-7766", "5550108899", "010-8899", "43.512345"):
        assert tables_with(known) == set(), known
    kept = [
        invariants.table_rows(name, crew.shop_id) for name in ("quotes_approval", "quotes_signature", "quotes_line")
    ]
    assert kept == evidence
    (quote,) = invariants.table_rows("quotes_quote", crew.shop_id)
    assert (quote["offer_digest"], quote["totals"]["total_minor"]) == (drawn.digest, drawn.total)
    other.pull()
    row = other.rows("customer")[customer_id]
    assert (row["name"], row["phone"], row["archived"]) == ("(erased)", "", True)
    assert MARK not in json.dumps([one for (kind, _), one in other.base.items() if kind != "quote"])
    assert other.rows("customer")[str(neighbour)]["notes"] == "Beside the barn"
    invariants.assert_equals_snapshot(other)
    # The same pushes are still duplicates and restore nothing.
    assert phone.push_entries(phone.outbox).status == 200
    assert {entry.outcome["status"] for entry in phone.outbox if entry.outcome} == {"duplicate"}
    assert tables_with(MARK) == {"quotes_quote"}
    ((erased,),) = query("SELECT details FROM core_auditevent WHERE event = 'customer erased'")
    assert json.loads(erased)["events"] == 2
    call_command("audit", "check")
    # Repeating it does nothing and does not fail.
    call_command("erase_customer", owner, customer_id)
    call_command("audit", "check")


def test_voice_notes_about_anything_of_the_customer_go_with_them(crew: Crew) -> None:
    """Names may be said in them; a picture of a finding stays, as a part of what was offered."""
    customer = work.a_customer(crew.owner, name=f"Ada {MARK}")
    job = work.a_job(crew.owner, customer_id=customer)
    finding = work.a_finding(crew.owner, job)
    other = work.a_finding(crew.owner, work.a_job(crew.owner))
    kept = [work.a_picture(crew.owner, other, media="voice"), work.a_picture(crew.owner, finding)]
    work.a_picture(crew.owner, finding, media="voice")
    work.a_picture(crew.owner, job, about_kind="job", media="voice")
    work.do(crew.owner, move_job, id=job, stage="cancelled")
    call_command("erase_customer", "owner@bench.example", str(customer))
    with in_shop(crew.shop_id):
        assert set(Attachment.objects.values_list("id", flat=True)) == set(kept)


def test_every_model_with_personal_fields_is_reached_from_the_customer() -> None:
    ways = customer_lookups()
    assert (ways[Stop], ways[ApprovalLink], ways[Quote]) == ("job__customer", "quote__job__customer", "job__customer")
    for model in PERSONAL_FIELDS.keys() - ways.keys():
        assert model._meta.get_field("about_id"), f"{model.__name__} has personal fields and belongs to nobody"
    # A mark is no part of a migration.
    assert "erased_to" not in vars(Customer._meta.get_field("name").clone())


def test_a_customer_who_was_imported_is_erased_from_the_imports(crew: Crew) -> None:
    """With jobs, a ticket, terms and a second phone, and named by rows that were refused."""
    ada, bo = f"Ada {MARK},555 010 7766,555 010 7767,", f"Bo {MARK},555 010 7768,,{MARK} says no"
    book = f"Name,Phone,Mobile,Tax exempt\n{ada}\n{bo}\n"
    import_id = imported(crew, book.encode(), f"{MARK}.csv", add_similar=True)
    other = f"Name,Phone\nNora Next,555 010 1111\nAda {MARK},555 010 7766\n"
    other_id = imported(crew, other.encode(), f"for {MARK}.csv")
    waiting_id = uploaded(crew, f"Name\nAda {MARK}\n".encode())
    with in_shop(crew.shop_id):
        customer = Customer.objects.get(name=f"Ada {MARK}")
        (fault,) = CustomerImport.objects.get(id=import_id).refused
        # What was refused is said without whom it names, long before anybody is erased.
        assert (fault["row"], fault["name"], fault["code"], MARK in fault["words"]) == (3, "", "not_yes_or_no", False)
    assert customer.second_phone == "555 010 7766"
    job_id = work.a_job(crew.owner, customer_id=customer.id, machine_id=work.a_machine(crew.owner, customer.id))
    terms = {"diagnosis_fee_minor": 6500, "accepted_by_name": f"Ada {MARK}", "accepted_at": now()}
    work.do(crew.owner, record_intake_terms, id=uuid7(), job_id=job_id, **terms)
    sent = {"channel": "email", "address": f"ada@{MARK}.example", "name": f"Ada {MARK}"}
    ticket_id = uuid7()
    work.do(crew.owner, send_ticket, id=ticket_id, job_id=job_id, **sent)
    work.do(crew.owner, move_job, id=job_id, stage="cancelled")
    assert "customers_customerimport" in tables_with(MARK)

    running = upload_and_start(crew, b"Name\nPaul Later\n")
    with pytest.raises(CommandError, match="once it is done"):
        call_command("erase_customer", "owner@bench.example", str(customer.id))
    assert run_due(crew) == 1, running
    link = f"/ticket/{token_of(crew.shop_id, ticket_id)}"
    assert Client().get(link).status_code == 503, "not made yet"
    call_command("erase_customer", "owner@bench.example", str(customer.id))

    assert Client().get(link).status_code == 410
    assert tables_with(MARK) == set()
    for phone in ("010 7766", "0107766", "010 7767", "0107767"):
        assert tables_with(phone) == set(), phone
    with in_shop(crew.shop_id):
        kept = {str(one.id): one for one in CustomerImport.objects.all()}
        assert [kept[one].file_name for one in (import_id, other_id, running)] == ["(erased)", "(erased)", "book.csv"]
        assert waiting_id not in kept
        # So that the same file does not add the customer again.
        assert kept[import_id].customers == [[2, str(customer.id)]]


def upload_and_start(crew: Crew, content: bytes) -> str:
    import_id = uploaded(crew, content)
    assert start(crew, import_id).status_code == 200
    return import_id
