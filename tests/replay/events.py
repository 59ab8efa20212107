"""Events in a shop other than this phone's commands: others write, customers answer, workers finish.

They are not compared; they give the commands rows to be about.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from uuid import UUID

from shopapi.core.clock import held_at
from shopapi.core.errors import DomainError
from shopapi.core.tenancy import in_shop
from shopapi.customers.services import edit_customer
from shopapi.dispatch.models import PlanRequest
from shopapi.dispatch.services.plan_execution import execute_plan_request
from shopapi.labor.services.clock import start_clock
from shopapi.notices.models import Notice
from shopapi.quotes.rules.approval_requests import Answer, Question
from shopapi.quotes.services.approval_requests import LinkVisit, decide_by_link, post_question
from shopapi.reminders.models import FollowUp
from tests.factories.work import do
from tests.replay.generators.registry import one, whose, words
from tests.replay.phone_replay import Row
from tests.replay.simulated_shop import SimulatedShop


def edit_same_field(shop: SimulatedShop) -> bool:
    """Two people change the same field of a customer."""
    customer = one(shop, shop.all("customer"))
    if customer is None:
        return False
    stale = {"id": customer["id"], "base": {"notes": "Seen long ago"}, "set": {"notes": words(shop) + "!"}}
    do(shop.crew.office, edit_customer, **stale)
    return True


def _asking_link(shop: SimulatedShop) -> Row | None:
    return one(shop, whose(shop, "approval_link", used_at=None, revoked_at=None))


def ask_question(shop: SimulatedShop) -> bool:
    """A customer asks a question through the approval link."""
    link = _asking_link(shop)
    if link is None:
        return False
    post_question(
        visit=LinkVisit(shop.crew.shop_id, UUID(link["id"])), question=Question(words="Is it original?", name="")
    )
    shop.due.insert(0, "answer_customer_question")
    return True


def decide_through_link(shop: SimulatedShop) -> bool:
    """A customer accepts everything that is offered."""
    link = _asking_link(shop)
    if link is None:
        return False
    lines = whose(shop, "quote_line", quote_id=link["quote_id"])
    yes = [UUID(line["id"]) for line in lines if line["kind"] != "discount"]
    decide_by_link(visit=LinkVisit(shop.crew.shop_id, UUID(link["id"])), answer=Answer(yes=yes, no=[], name="Winnie"))
    return True


def create_follow_up(shop: SimulatedShop) -> bool:
    """The sweep creates a follow-up."""
    known = {row["job_id"] for row in shop.all("follow_up")}
    job = one(shop, [job for job in shop.all("job") if job["id"] not in known])
    if job is None:
        return False
    fields = {"kind": "job_still", "about_kind": "job", "about_id": job["id"], "job_id": job["id"]}
    with in_shop(shop.crew.shop_id):
        FollowUp.objects.create(shop_id=shop.crew.shop_id, due_on=shop.today, **fields)
    return True


def refuse_message(shop: SimulatedShop) -> bool:
    """A message could not be sent."""
    notice = one(shop, whose(shop, "notice", state=("by_hand", "waiting")))
    if notice is None:
        return False
    with in_shop(shop.crew.shop_id):
        found = Notice.objects.get(id=notice["id"])
        found.state, found.reason, found.tries = "refused", "Mailbox full", 3
        found.save()
    shop.due.insert(0, "send_again")
    return True


def finish_plan(shop: SimulatedShop) -> bool:
    """A worker finishes a requested plan quickly."""
    plan = one(shop, whose(shop, "plan_request", state="waiting"))
    if plan is None:
        return False
    with in_shop(shop.crew.shop_id):
        PlanRequest.objects.filter(id=plan["id"]).update(rounds=1)
    execute_plan_request(shop_id=shop.crew.shop_id, plan_id=UUID(plan["id"]))
    shop.due.insert(0, "take_plan")
    return True


def start_clock_elsewhere(shop: SimulatedShop) -> bool:
    """The acting member starts a clock on another phone, which this one has not seen."""
    other = replace(shop.actor, device_id=None)
    do(other, start_clock, id=shop.mint(), kind="shop", started_at=shop.at - timedelta(minutes=20))
    shop.due[:0] = ["start_clock", "settle_entries"]
    return True


EVENTS: tuple[Callable[[SimulatedShop], bool], ...] = (
    edit_same_field,
    ask_question,
    decide_through_link,
    create_follow_up,
    refuse_message,
    finish_plan,
    start_clock_elsewhere,
)


def trigger_event(shop: SimulatedShop) -> None:
    rarest_first = sorted(shop.random.sample(EVENTS, len(EVENTS)), key=lambda event: shop.events[event.__name__])
    for event in rarest_first:
        with held_at(shop.at):
            try:
                if event(shop):
                    shop.events[event.__name__] += 1
                    return
            except DomainError:
                # It does not fit just now: the link has ended, the quote was decided.
                continue
