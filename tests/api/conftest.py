"""Fixtures: two shops, each with a row of every resource."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

import pytest

from shopapi.core.errors import Reason
from shopapi.core.feed import open_issue
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent, Issue
from shopapi.core.resources import all_resources
from shopapi.core.tenancy import in_shop
from shopapi.quotes.models import Line, Signature
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.examples import Scene
from tests.factories.hours import a_history
from tests.factories.rigs import a_day_out


@dataclass(frozen=True)
class PopulatedShop:
    """A crew, and one id of each resource by its name on REST."""

    crew: Crew
    ids: Mapping[str, UUID]


def create_populated_shop(name: str) -> PopulatedShop:
    crew = open_crew(name)
    actor = crew.owner
    customer = work.a_customer(actor)
    site = work.a_site(actor, customer)
    machine = work.a_machine(actor, customer)
    job = work.a_job(actor, customer_id=customer, machine_id=machine)
    quote = work.an_offer(actor, job)
    link = work.a_request(actor, quote)
    finding = work.a_finding(actor, job)
    ids = {
        "approval-links": link,
        "customer-questions": work.a_question(actor, link),
        "invitations": crew.mechanic.member_id or uuid7(),
        "customers": customer,
        "sites": site,
        "machines": machine,
        "sheets": (sheet := work.a_sheet(actor)),
        "limits": work.a_limit(actor, sheet),
        "sheet-entries": work.a_sheet_entry(actor, sheet),
        "jobs": job,
        "quotes": quote,
        "meter-readings": work.a_reading(actor, machine),
        "complaints": work.a_complaint(actor, job),
        "findings": finding,
        "safety-items": work.a_safety_item(actor, job),
        "safety-acknowledgements": work.an_acknowledgement(actor, finding),
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
        "price-book": crew.shop_id,
    }
    with in_shop(crew.shop_id):
        issue = open_issue(
            shop_id=crew.shop_id,
            kind=Issue.Kind.CONFLICT,
            command_id=None,
            name="edit_customer",
            entity=("customer", customer),
            reason=Reason("edited_twice"),
            theirs={"name": "A"},
            ours={"name": "B"},
            member_id=actor.member_id,
        )
        line = Line.objects.filter(quote=quote).order_by("position").first()
        event = AuditEvent.objects.order_by("id").first()
        assert event is not None
        ids |= {"audit-events": event.id, "issues": issue.id, "quote-lines": line.id if line else uuid7()}
        assert Signature.objects.count() == 1
    scene = Scene(
        actor, {resource.kind: ids[resource.plural] for resource in all_resources() if resource.plural in ids}
    )
    more = [resource for resource in all_resources() if resource.reads is not None and resource.plural not in ids]
    return PopulatedShop(crew, ids | {resource.plural: scene.the(resource.kind) for resource in more})


@pytest.fixture
def own_shop(db: None) -> PopulatedShop:
    return create_populated_shop("Bench & Bar")


@pytest.fixture
def other_shop(db: None) -> PopulatedShop:
    return create_populated_shop("Other Yard")
