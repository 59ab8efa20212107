"""Erasing a customer who asks for it: who they are goes, from rows, messages and history; records of money stay.

Kept as records: jobs with their findings and times, what was offered with its paper, decisions, ink and hand-overs.
It is done in two transactions, history first (only the owner role may touch it); run again, it does what is left.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import reduce
from operator import or_
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Model, Q, QuerySet, TextField
from django.db.models.functions import Cast

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.errors import Conflict
from shopapi.core.feed import lock_head
from shopapi.core.models import AuditEvent, Issue, Receipt, SyncHead
from shopapi.core.shape import Target
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer, Site
from shopapi.customers.queries import customer_for
from shopapi.dispatch.models import DrivenLeg, PlanRequest, Stop
from shopapi.files.models import Attachment
from shopapi.files.services.attaching import remove_attachment
from shopapi.jobs.models import Complaint, Job
from shopapi.machines.models import Machine
from shopapi.notices.models import Notice, OptOut
from shopapi.quotes.models import ApprovalLink, OwnerQuestion, Quote
from shopapi.reminders.models import FollowUp
from shopapi.sync.models import LoggedCommand

ERASED = "(erased)"
FINISHED = ("closed", "cancelled")
# What of a row says who somebody is or where they live; its keys in commands, receipts and history are the same.
PERSONAL: Mapping[type[Model], tuple[str, ...]] = {
    Customer: ("name", "person", "phone", "email", "address", "notes"),
    Site: ("label", "address", "access_notes"),
    Machine: ("notes",),
    Job: ("notes",),
    Complaint: ("words",),
    Stop: ("place", "notes", "failure_note"),
    Notice: ("address", "name"),
    ApprovalLink: ("address", "name"),
    OwnerQuestion: ("name", "words"),
}
ONLY_ADDED_TO: frozenset[type[Model]] = frozenset({Complaint})
NEVER_BLANK = ("name", "label", "words")
KEYS = frozenset(name for names in PERSONAL.values() for name in names) | {
    *("lat", "lon", "caption", "note", "subject", "body", "subject_words", "body_words"),
}
# Where else what was typed is kept as JSON, and what says of which row it is.
KEPT_AS_JSON: Mapping[type[Model], tuple[tuple[str, ...], str]] = {
    LoggedCommand: (("args",), "args__id"),
    Receipt: (("body",), "body__id"),
    Issue: (("theirs", "ours"), "entity_id"),
    FollowUp: (("facts",), "about_id"),
    PlanRequest: (("answer", "basis"), "id"),
}
# A shorter word is looked for nowhere: it stands in too much that is not about the customer.
SHORTEST = 3


@dataclass
class Traces:
    """The customer's rows by model, and every text in them that says who they are, longest first."""

    rows: dict[type[Model], list[Any]] = field(default_factory=dict)
    words: list[str] = field(default_factory=list)

    def ids(self, *kinds: type[Model]) -> list[UUID]:
        """The ids of the rows of these models; of all, if none is named."""
        return [row.pk for kind in kinds or self.rows for row in self.rows[kind]]


def erase_customer(*, actor: Actor, customer_id: UUID) -> int:
    """Erase who a customer is; returns how many texts were looked for. Raises NotFound, Conflict `open_jobs`.

    Needs the owner role's connection: history may not be changed by the application.
    """
    actor.require(Permission.MANAGE_MEMBERS)
    with in_shop(actor.shop_id):
        traces = _traces_of(actor, customer_id)
    _clean_history(actor.shop_id, traces)
    with in_shop(actor.shop_id):
        lock_head(actor.shop_id)
        # Once more: somebody may have written in between.
        known, traces = traces.words, _traces_of(actor, customer_id)
        traces.words = _longest_first({*known, *traces.words})
        _clean_rows(actor, traces)
        for model, (columns, about) in KEPT_AS_JSON.items():
            _clean_json(model._default_manager.filter(shop_id=actor.shop_id), columns, traces, about=about)
        record(actor, "customer erased", ("customer", customer_id))
    return len(traces.words)


def _traces_of(actor: Actor, customer_id: UUID) -> Traces:
    customer = customer_for(actor, customer_id)
    own = {"shop": actor.shop_id}
    jobs = list(Job.objects.filter(**own, customer=customer))
    unfinished = [job.number or job.mark for job in jobs if job.stage not in FINISHED]
    if unfinished:
        words = f"Close or cancel what is open for this customer first: {', '.join(unfinished)}."
        raise Conflict("open_jobs", words)
    sites = list(Site.objects.filter(**own, customer=customer))
    machines = list(Machine.objects.filter(**own, customer=customer))
    quotes = list(Quote.objects.filter(**own, job__in=jobs))
    found = Traces(
        {
            Customer: [customer],
            Site: sites,
            Machine: machines,
            Job: jobs,
            Complaint: list(Complaint.objects.filter(**own, job__in=jobs)),
            Stop: list(Stop.objects.filter(**own, job__in=jobs)),
            Quote: quotes,
            ApprovalLink: list(ApprovalLink.objects.filter(**own, quote__in=quotes)),
            OwnerQuestion: list(OwnerQuestion.objects.filter(**own, quote__in=quotes)),
        }
    )
    found.rows[Notice] = list(Notice.objects.filter(**own, about_id__in=found.ids()))
    told = {getattr(row, name) for model, names in PERSONAL.items() for row in found.rows[model] for name in names}
    found.words = _longest_first({text for text in told - {ERASED} if len(text) >= SHORTEST})
    return found


def _longest_first(words: set[str]) -> list[str]:
    """In the order in which they are looked for: an address before the name that it holds."""
    return sorted(words, key=lambda word: (-len(word), word))


def _clean_rows(actor: Actor, traces: Traces) -> None:
    for model in PERSONAL.keys() - ONLY_ADDED_TO:
        _blank(model._default_manager.filter(shop_id=actor.shop_id, pk__in=traces.ids(model)))
    Customer.objects.filter(shop=actor.shop_id, pk__in=traces.ids(Customer)).update(phone_digits="", archived=True)
    for model in (Site, Stop):
        model._default_manager.filter(shop_id=actor.shop_id, pk__in=traces.ids(model)).update(lat=None, lon=None)
    # What was offered is a record; a note of a draft is not.
    Quote.objects.filter(shop=actor.shop_id, pk__in=traces.ids(Quote), offer_digest=None).update(note="")
    Notice.objects.filter(shop=actor.shop_id, pk__in=traces.ids(Notice)).update(
        subject_words="", body_words=ERASED, values={}
    )
    Notice.objects.filter(shop=actor.shop_id, pk__in=traces.ids(Notice), state__in=("waiting", "by_hand")).update(
        state="withheld", reason="The customer was erased."
    )
    OptOut.objects.filter(shop=actor.shop_id, address__in=traces.words).delete()
    shown = Attachment.objects.filter(shop=actor.shop_id, about_id__in=traces.ids(Machine, Job, Stop))
    for picture_id in list(shown.values_list("id", flat=True)):
        remove_attachment.within(actor=actor, data=Target(id=picture_id))


def _blank(rows: QuerySet[Any]) -> None:
    rows.update(**{name: ERASED if name in NEVER_BLANK else "" for name in PERSONAL[rows.model]})


def _clean_history(shop_id: UUID, traces: Traces) -> None:
    """What the application may only add to: the owner role changes it, in the shop's line like every writer."""
    with transaction.atomic(using="owner"):
        SyncHead.objects.using("owner").select_for_update().get(shop_id=shop_id)
        for model in PERSONAL.keys() & ONLY_ADDED_TO:
            _blank(model._default_manager.using("owner").filter(shop_id=shop_id, pk__in=traces.ids(model)))
        for place in (*traces.rows[Site], *traces.rows[Stop]):
            ends = Q(from_lat=place.lat, from_lon=place.lon) | Q(to_lat=place.lat, to_lon=place.lon)
            DrivenLeg.objects.using("owner").filter(ends, shop_id=shop_id).delete()
        events = AuditEvent.objects.using("owner").filter(shop_id=shop_id)
        _clean_json(events, ("details",), traces, about="subject_id")


def _clean_json(rows: QuerySet[Any], columns: Sequence[str], traces: Traces, *, about: str) -> None:
    """Clean the rows in which one of the customer's rows is named; an id cannot be mistaken for another.

    `about` is the column or the path that says of which row this one is.
    """
    texts = {f"{column}_text": Cast(column, TextField()) for column in (*columns, about.split("__", maxsplit=1)[0])}
    named = reduce(or_, (Q(**{f"{text}__regex": "|".join(map(str, traces.ids()))}) for text in texts))
    own = {str(row_id) for row_id in traces.ids(*PERSONAL)}
    found = rows.alias(**texts).filter(named).annotate(of=Cast(about, TextField())).values("pk", "of", *columns)
    for row in list(found):
        hides = str(row["of"]).strip('"') in own
        rows.filter(pk=row["pk"]).update(
            **{column: _cleaned(row[column], traces.words, hides=hides) for column in columns}
        )


def _cleaned(value: Any, words: Sequence[str], *, hides: bool) -> Any:
    """JSON without the words; `hides`: without whatever stands under the keys of a person either."""
    if isinstance(value, dict):
        hidden = {key for key, one in value.items() if hides and key in KEYS and isinstance(one, str) and one}
        return {key: ERASED if key in hidden else _cleaned(one, words, hides=hides) for key, one in value.items()}
    if isinstance(value, list):
        return [_cleaned(one, words, hides=hides) for one in value]
    if isinstance(value, str) and words:
        return re.sub(rf"(?<!\w)({'|'.join(map(re.escape, words))})(?!\w)", ERASED, value)
    return value
