"""Two shops side by side, each with work of every kind."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

import pytest
from pytest_django import Settings

from shopapi.core.feed import lay_before_people
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent, Issue
from shopapi.core.tenancy import in_shop
from shopapi.quotes.models import Line, Signature
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.hours import a_history
from tests.factories.rigs import a_day_out


@dataclass(frozen=True)
class Busy:
    """A crew, and one id of each noun by its name on REST."""

    crew: Crew
    ids: Mapping[str, UUID]


def open_busy(name: str) -> Busy:
    crew = open_crew(name)
    actor = crew.owner
    customer = work.a_customer(actor)
    site = work.a_site(actor, customer)
    machine = work.a_machine(actor, customer)
    job = work.a_job(actor, customer_id=customer, machine_id=machine)
    quote = work.an_offer(actor, job)
    link = work.a_request(actor, quote)
    ids = {
        "approval-links": link,
        "owner-questions": work.a_question(actor, link),
        "customers": customer,
        "sites": site,
        "machines": machine,
        "jobs": job,
        "quotes": quote,
        "meter-readings": work.a_reading(actor, machine),
        "complaints": work.a_complaint(actor, job),
        "findings": work.a_finding(actor, job),
        "follow-ups": work.a_follow_up(actor, job),
        "notices": work.a_message(actor, job),
        "notice-templates": work.a_template(actor),
        "opt-outs": work.an_opt_out(actor),
        "push-subscriptions": work.a_push_device(actor),
        "attachments": work.a_picture(actor, uuid7()),
        "time-entries": work.a_clock(actor, job),
        "work-histories": a_history(crew.shop_id).id,
        "approvals": work.a_decision(actor, quote),
        **a_day_out(actor, job, site),
        "members": actor.member_id or uuid7(),
        "devices": actor.device_id or uuid7(),
        "shop": crew.shop_id,
    }
    with in_shop(crew.shop_id):
        issue = lay_before_people(
            shop_id=crew.shop_id,
            kind=Issue.Kind.CONFLICT,
            command_id=None,
            name="edit_customer",
            entity=("customer", customer),
            words="Two people changed the same thing.",
            theirs={"name": "A"},
            ours={"name": "B"},
            member_id=actor.member_id,
        )
        line = Line.objects.filter(quote=quote).order_by("position").first()
        event = AuditEvent.objects.order_by("id").first()
        assert event is not None
        ids |= {"audit-events": event.id, "issues": issue.id, "quote-lines": line.id if line else uuid7()}
        assert Signature.objects.count() == 1
    return Busy(crew, ids)


@pytest.fixture(autouse=True)
def _quick_passwords(settings: Settings) -> None:
    """Nobody signs in by password here; the right hash, slow by design, is tested with the session."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def mine(db: None) -> Busy:
    return open_busy("Bench & Bar")


@pytest.fixture
def theirs(db: None) -> Busy:
    return open_busy("Other Yard")
