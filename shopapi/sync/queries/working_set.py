"""The rows that a phone needs first: what is open today and whom it is about. The rest of the shop follows behind."""

from datetime import timedelta

from django.db.models import Q

from shopapi.accounts.models import Shop
from shopapi.core.actor import Actor
from shopapi.core.clock import now, today
from shopapi.core.enums import IssueState
from shopapi.dispatch.models import HandOver, Run, Stop
from shopapi.jobs.models import Job
from shopapi.jobs.rules.jobs import Stage
from shopapi.parts.models import PartOrderLine
from shopapi.quotes.models import Approval, Quote
from shopapi.reminders.models import FollowUp

FINISHED_STAGES = (Stage.RETURNED, Stage.CLOSED, Stage.CANCELLED)
# Clocked time of these days: the day and the week so far.
CLOCKED_DAYS = 8
ALL = Q()
# What a shop has set up, which is small, and without which open work is shown wrongly.
SET_UP = (
    "shop",
    "member",
    "sheet",
    "limit",
    "sheet_entry",
    "check_list",
    "gauge",
    "supplier",
    "stock_place",
    "price_book",
    "yard",
    "rig",
    "billing_settings",
    "period_close",
    "notice_template",
    "opt_out",
)
BY_JOB = (
    "complaint",
    "finding",
    "safety_item",
    "caution_seen",
    "check",
    "circuit_observation",
    "run_test",
    "removal_step",
    "put_back_rule",
    "reading",
    "part_need",
    "intake_terms",
    "quote",
    "payment",
    "invoice",
    "hand_over",
    "printout",
)
BY_QUOTE = ("quote_line", "approval", "approval_link", "customer_question")


def working_set(actor: Actor) -> dict[str, Q]:
    """Which rows of which kinds belong to the working set.

    Open jobs with all that is theirs, runs from yesterday on with their stops, the customers and machines of both, open
    issues and follow-ups, clocked time of these days, and what the shop has set up. A kind that is not named has none.
    All open jobs are in it, so a list of them is complete; a customer's or a machine's history is not.
    """
    shop_id = actor.shop_id
    begin = today(Shop.objects.get(id=shop_id).zone) - timedelta(days=1)
    open_jobs = Job.objects.filter(shop=shop_id).exclude(stage__in=FINISHED_STAGES)
    runs = Run.objects.filter(shop=shop_id, day__gte=begin)
    stops = Stop.objects.filter(shop=shop_id).filter(Q(run__in=runs.values("id")) | Q(state="asked"))
    # Jobs that are over may still be on a run, to be taken back.
    jobs = Q(id__in=open_jobs.values("id")) | Q(id__in=stops.values("job"))
    shown = Job.objects.filter(jobs, shop=shop_id)
    job, customer, machine = (shown.values(name) for name in ("id", "customer", "machine"))
    quote = Quote.objects.filter(shop=shop_id, job__in=job).values("id")
    return {
        **dict.fromkeys(SET_UP, ALL),
        "customer": Q(id__in=customer) | Q(id__in=stops.values("site__customer")),
        "site": Q(customer__in=customer) | Q(id__in=stops.values("site")),
        "machine": Q(id__in=machine),
        "circuit": Q(machine__in=machine),
        "meter_reading": Q(machine__in=machine),
        "job": jobs,
        **dict.fromkeys(BY_JOB, Q(job__in=job)),
        "safety_acknowledgement": Q(finding__job__in=job),
        "fastener": Q(step__job__in=job),
        "fastener_move": Q(fastener__step__job__in=job),
        "part_search": Q(need__job__in=job),
        "part_order_line": Q(need__job__in=job),
        "part_order": Q(id__in=PartOrderLine.objects.filter(shop=shop_id, need__job__in=job).values("order")),
        "time_entry": Q(job__in=job) | Q(started_at__gte=now() - timedelta(days=CLOCKED_DAYS)) | Q(ended_at=None),
        **dict.fromkeys(BY_QUOTE, Q(quote__in=quote)),
        "signature": Q(id__in=Approval.objects.filter(shop=shop_id, quote__in=quote).values("signature"))
        | Q(id__in=HandOver.objects.filter(shop=shop_id, job__in=job).values("signature")),
        "invoice_line": Q(invoice__job__in=job),
        "run": Q(id__in=runs.values("id")),
        "stop": Q(id__in=stops.values("id")) | Q(job__in=job),
        "issue": Q(state=IssueState.OPEN),
        "follow_up": Q(state=FollowUp._meta.get_field("state").default),
    }
