"""Erasure of a customer's personal data from rows, messages and history; business records stay.

Records that stay: jobs with findings and times, offers with their PDFs, decisions, signatures, hand-overs. It runs in
two transactions, history first (only the database's owner role may change it), and can be repeated.
"""

import re
from collections import deque
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache, reduce
from operator import or_
from typing import Any
from uuid import UUID

from django.apps import apps
from django.db import transaction
from django.db.models import Model, Q, QuerySet, TextField
from django.db.models.functions import Cast

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.errors import Conflict
from shopapi.core.feed import lock_shop
from shopapi.core.fields import ERASED, personal_fields
from shopapi.core.models import AuditEvent, Issue, Receipt, SyncHead
from shopapi.core.resources import all_resources
from shopapi.core.rows import row_for
from shopapi.core.schema import Target
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer, Site
from shopapi.customers.services.imports import erase_from_imports, refuse_while_running
from shopapi.dispatch.models import DrivenLeg, PlanRequest, Printout, Stop
from shopapi.files.models import Attachment
from shopapi.files.services.attachments import remove_attachment
from shopapi.jobs.models import Job
from shopapi.machines.models import Machine
from shopapi.notices.models import Notice, OptOut
from shopapi.quotes.models import Quote
from shopapi.reminders.models import FollowUp
from shopapi.sync.models import LoggedCommand

FINISHED = ("closed", "cancelled")
# The fields of each model that hold personal data; commands, receipts and history use the same keys.
PERSONAL_FIELDS: Mapping[type[Model], Mapping[str, str | None]] = {
    model: fields for model in apps.get_models() if (fields := personal_fields(model))
}
PERSONAL_KEYS = frozenset(name for names in PERSONAL_FIELDS.values() for name in names) | {
    *("caption", "note", "subject", "body", "subject_words", "body_words"),
}
# JSON columns that hold typed data, and the column or path that names the row they are about.
JSON_COLUMNS: Mapping[type[Model], tuple[tuple[str, ...], str]] = {
    LoggedCommand: (("args",), "args__id"),
    Receipt: (("body",), "body__id"),
    Issue: (("theirs", "ours"), "entity_id"),
    FollowUp: (("facts",), "about_id"),
    PlanRequest: (("answer", "basis"), "id"),
}
# Shorter texts are not searched for: they occur in too much that is not about the customer.
MIN_TEXT_LENGTH = 3


@dataclass
class CustomerTraces:
    """The customer's rows by model, and every personal text in them, longest first."""

    rows: dict[type[Model], list[Any]] = field(default_factory=dict)
    texts: list[str] = field(default_factory=list)

    def ids(self, *kinds: type[Model]) -> list[UUID]:
        """The ids of the rows of these models; of all, if none is named."""
        return [row.pk for kind in kinds or self.rows for row in self.rows[kind]]


def erase_customer(*, actor: Actor, customer_id: UUID) -> int:
    """Erase a customer's personal data; returns how many texts were searched for.

    Raises NotFound, Conflict `open_jobs`, `import_running`. Needs the database's owner role: the application may
    not change history.
    """
    actor.require(Permission.MANAGE_MEMBERS)
    with in_shop(actor.shop_id):
        traces = _find_traces(actor, customer_id)
    events = _erase_history(actor.shop_id, traces)
    with in_shop(actor.shop_id):
        lock_shop(actor.shop_id)
        # Search again: there may have been writes in between.
        known, traces = traces.texts, _find_traces(actor, customer_id)
        traces.texts = _longest_first({*known, *traces.texts})
        _erase_rows(actor, traces)
        for model, (columns, about) in JSON_COLUMNS.items():
            _erase_json_columns(model._default_manager.filter(shop_id=actor.shop_id), columns, traces, about=about)
        erase_from_imports(actor=actor, customer_id=customer_id, texts=traces.texts)
        # The audit trail is a chain: how many of its events have changed is said in it.
        record(actor, "customer erased", ("customer", customer_id), events=events)
    return len(traces.texts)


def _find_traces(actor: Actor, customer_id: UUID) -> CustomerTraces:
    customer = row_for(Customer, actor, customer_id, field="customer_id")
    refuse_while_running(actor)
    jobs = Job.objects.filter(shop=actor.shop_id, customer=customer).exclude(stage__in=FINISHED)
    unfinished = [job.number or job.mark for job in jobs]
    if unfinished:
        raise Conflict("open_jobs", context={"unfinished": ", ".join(unfinished)})
    found = CustomerTraces()
    for model, way in customer_lookups().items():
        found.rows[model] = list(model._default_manager.filter(shop=actor.shop_id, **{way: customer.id}))
    # Rows without a way to the customer are about a row that has one.
    about = found.ids()
    for model in PERSONAL_FIELDS.keys() - found.rows.keys():
        found.rows[model] = list(model._default_manager.filter(shop=actor.shop_id, about_id__in=about))
    values = {
        getattr(row, name) for model, names in PERSONAL_FIELDS.items() for row in found.rows[model] for name in names
    }
    texts = {text for text in values - {ERASED} if isinstance(text, str) and len(text) >= MIN_TEXT_LENGTH}
    found.texts = _longest_first(texts)
    return found


@cache
def customer_lookups() -> Mapping[type[Model], str]:
    """The lookup that finds a customer's rows of each model that belongs to one and has personal fields.

    Includes the models on the way: an approval link belongs to the customer of its quote's job.
    """
    found: dict[type[Model], str] = {Customer: "pk"}
    for model in PERSONAL_FIELDS:
        keys = keys_to_customer(model)
        for position, key in enumerate(keys):
            found.setdefault(key.model, "__".join(one.name for one in keys[position:]))
    return found


def keys_to_customer(model: type[Model]) -> list[Any]:
    """The shortest path of foreign keys from a model to its customer; empty if there is none."""
    ways: deque[tuple[Any, list[Any]]] = deque([(model, [])])
    seen = {model}
    while ways:
        at, keys = ways.popleft()
        for key in at._meta.concrete_fields:
            if key.related_model is Customer:
                return [*keys, key]
            if key.related_model is not None and key.related_model not in seen:
                seen.add(key.related_model)
                ways.append((key.related_model, [*keys, key]))
    return []


def _longest_first(words: set[str]) -> list[str]:
    """Longest first, so that an address is replaced before the name that it contains."""
    return sorted(words, key=lambda word: (-len(word), word))


def _erase_rows(actor: Actor, traces: CustomerTraces) -> None:
    for model in PERSONAL_FIELDS:
        if not _is_append_only(model):
            _blank_fields(model._default_manager.filter(shop_id=actor.shop_id, pk__in=traces.ids(model)))
    Customer.objects.filter(shop=actor.shop_id, pk__in=traces.ids(Customer)).update(archived=True)
    # An offer is a record; the note of a draft is not.
    Quote.objects.filter(shop=actor.shop_id, pk__in=traces.ids(Quote), offer_digest=None).update(note="")
    Notice.objects.filter(shop=actor.shop_id, pk__in=traces.ids(Notice)).update(
        subject_words="", body_words=ERASED, values={}
    )
    Notice.objects.filter(shop=actor.shop_id, pk__in=traces.ids(Notice), state__in=("waiting", "by_hand")).update(
        state="withheld", reason="The customer was erased."
    )
    OptOut.objects.filter(shop=actor.shop_id, address__in=traces.texts).delete()
    # Their links end with them.
    tickets = Printout.objects.filter(shop=actor.shop_id, kind="ticket", job__customer__in=traces.ids(Customer))
    tickets.delete()
    shown = Attachment.objects.filter(shop=actor.shop_id, about_id__in=traces.ids(Machine, Job, Stop))
    for attachment_id in {*shown.values_list("id", flat=True), *_voice_notes(actor, traces.ids(Customer))}:
        remove_attachment.within(actor=actor, data=Target(id=attachment_id))


def _voice_notes(actor: Actor, customers: Collection[UUID]) -> list[UUID]:
    """The voice notes about anything of a customer: what is said in them may name people."""
    recorded = Attachment.objects.filter(shop=actor.shop_id, media="voice")
    about = set(recorded.values_list("about_id", flat=True))
    theirs: set[UUID] = set()
    for resource in all_resources():
        way = "__".join(key.name for key in keys_to_customer(resource.model))
        if way and about:
            rows = resource.model._default_manager.filter(shop_id=actor.shop_id, pk__in=about)
            theirs |= set(rows.filter(**{f"{way}__in": customers}).values_list("pk", flat=True))
    return list(recorded.filter(about_id__in=theirs).values_list("id", flat=True))


def _blank_fields(rows: QuerySet[Any]) -> None:
    rows.update(**PERSONAL_FIELDS[rows.model])


def _is_append_only(model: type[Model]) -> bool:
    return bool(getattr(model, "append_only", False))


def _erase_history(shop_id: UUID, traces: CustomerTraces) -> int:
    """Erase from append-only tables, as the owner role and under the per-shop write lock.

    Returns how many audit events it was the first to erase from.
    """
    with transaction.atomic(using="owner"):
        SyncHead.objects.using("owner").select_for_update().get(shop_id=shop_id)
        for model in filter(_is_append_only, PERSONAL_FIELDS):
            _blank_fields(model._default_manager.using("owner").filter(shop_id=shop_id, pk__in=traces.ids(model)))
        for place in (*traces.rows[Site], *traces.rows[Stop]):
            ends = Q(from_lat=place.lat, from_lon=place.lon) | Q(to_lat=place.lat, to_lon=place.lon)
            DrivenLeg.objects.using("owner").filter(ends, shop_id=shop_id).delete()
        events = AuditEvent.objects.using("owner").filter(shop_id=shop_id)
        erased = _erase_json_columns(events, ("details",), traces, about="subject_id")
        return events.filter(pk__in=erased, salt__isnull=False).update(salt=None)


def _erase_json_columns(
    rows: QuerySet[Any], columns: Sequence[str], traces: CustomerTraces, *, about: str
) -> list[Any]:
    """Erase from the JSON of rows that name one of the customer's rows by id; returns the keys of those that changed.

    `about`: the column or path that names the row which this one is about.
    """
    texts = {f"{column}_text": Cast(column, TextField()) for column in (*columns, about.split("__", maxsplit=1)[0])}
    named = reduce(or_, (Q(**{f"{text}__regex": "|".join(map(str, traces.ids()))}) for text in texts))
    own = {str(row_id) for row_id in traces.ids(*PERSONAL_FIELDS)}
    found = rows.alias(**texts).filter(named).annotate(of=Cast(about, TextField())).values("pk", "of", *columns)
    changed = []
    for row in list(found):
        hide_personal = str(row["of"]).strip('"') in own
        erased = {
            column: _erase_from_json(row[column], traces.texts, hide_personal=hide_personal) for column in columns
        }
        if any(erased[column] != row[column] for column in columns):
            rows.filter(pk=row["pk"]).update(**erased)
            changed.append(row["pk"])
    return changed


def _erase_from_json(value: Any, words: Sequence[str], *, hide_personal: bool) -> Any:
    """JSON without the texts; `hide_personal`: also without the values of personal keys."""
    if isinstance(value, dict):
        hidden = {
            key for key, one in value.items() if hide_personal and key in PERSONAL_KEYS and isinstance(one, str) and one
        }
        return {
            key: ERASED if key in hidden else _erase_from_json(one, words, hide_personal=hide_personal)
            for key, one in value.items()
        }
    if isinstance(value, list):
        return [_erase_from_json(one, words, hide_personal=hide_personal) for one in value]
    if isinstance(value, str) and words:
        return re.sub(rf"(?<!\w)({'|'.join(map(re.escape, words))})(?!\w)", ERASED, value)
    return value
