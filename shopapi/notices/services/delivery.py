"""Send a notice to a mail server, gateway or push service, at most once.

The notice is marked `sending` in a transaction that commits before anything is sent, and the result is stored in a
second one. A worker that dies in between leaves it `sending`; it is not sent again automatically, but becomes
`unknown` after a while, and a person decides.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.conf import settings
from django.utils.module_loading import import_string

from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.errors import DomainError, Reason, pack
from shopapi.core.models import Outbox
from shopapi.notices import queries
from shopapi.notices.models import Notice, PushSubscription
from shopapi.notices.rules.notice import (
    LOST_AFTER,
    NOT_KNOWN,
    OPTED_OUT,
    Channel,
    DeliveryResult,
    NoticeState,
    after_try,
)
from shopapi.notices.services.notices import schedule_delivery
from shopapi.notices.services.transports import OutboundMessage, PushEndpoint, email, push, sms

TRANSPORTS: Mapping[str, Callable[[OutboundMessage], DeliveryResult]] = {
    Channel.EMAIL: email.deliver,
    Channel.SMS: sms.deliver,
    Channel.PUSH: push.deliver,
}


@dataclass(frozen=True)
class Attempt:
    """An attempt that has begun: its number and the message to send."""

    notice_id: UUID
    tries: int
    channel: str
    outbound: OutboundMessage


def begin_attempt(*, actor: Actor, notice_id: UUID) -> Attempt | None:
    """Mark a notice as being sent and return the message; None when it is not due, not waiting or not to be sent.

    Nothing may be sent before this has been committed.
    """
    notice = queries.notices(actor).select_for_update().filter(id=notice_id).first()
    if notice is None or notice.state != NoticeState.WAITING or notice.not_before > now():
        return None
    if queries.has_opted_out(actor, notice.channel, notice.address):
        _settle(actor, notice, NoticeState.WITHHELD, OPTED_OUT)
        return None
    try:
        words = final_texts(actor, notice)
    except DomainError as refusal:
        _settle(actor, notice, NoticeState.REFUSED, refusal.reason)
        return None
    endpoints: tuple[PushEndpoint, ...] = ()
    if notice.channel == Channel.PUSH:
        devices = queries.live_subscriptions(actor).filter(member=UUID(notice.address))
        endpoints = tuple(PushEndpoint(one.id, one.endpoint, one.p256dh, one.auth) for one in devices)
    notice.state, notice.tries, notice.sending_since = NoticeState.SENDING, notice.tries + 1, now()
    notice.save(update_fields=["state", "tries", "sending_since"])
    outbound = OutboundMessage(
        notice_id=notice.id,
        address=notice.address,
        name=notice.name,
        subject=words[0],
        body=words[1],
        about=(notice.about_kind, notice.about_id),
        endpoints=endpoints,
    )
    return Attempt(notice_id=notice.id, tries=notice.tries, channel=notice.channel, outbound=outbound)


def deliver(begun: Attempt) -> DeliveryResult:
    """Send a message, outside of any transaction."""
    return TRANSPORTS[begun.channel](begun.outbound)


def finish_attempt(*, actor: Actor, begun: Attempt, outcome: DeliveryResult) -> None:
    """Store the result of an attempt, unless it was marked lost meanwhile."""
    notice = queries.notices(actor).select_for_update().filter(id=begun.notice_id, tries=begun.tries).first()
    if notice is None or notice.state != NoticeState.SENDING:
        return
    for place_id in outcome.gone:
        PushSubscription.objects.filter(shop=actor.shop_id, id=place_id).delete()
    state, wait = after_try(notice.tries, outcome)
    if state == NoticeState.SENT:
        notice.sent_at = now()
    if wait is not None:
        notice.not_before = now() + wait
    notice.save(update_fields=["sent_at", "not_before"])
    _settle(actor, notice, state, outcome.reason)
    if wait is not None:
        schedule_delivery(notice)


def final_texts(actor: Actor, notice: Notice) -> tuple[str, str]:
    """Subject and body with their secret links. Raises DomainError when a link is no longer valid."""
    links = {
        field: import_string(settings.NOTICE_LINKS[resolver])(actor, link_id)
        for field, (resolver, link_id) in queries.resolve_links(notice).items()
    }
    words = queries.filled_texts(notice, links)
    return words.subject, words.body


def mark_lost_unknown(*, actor: Actor) -> int:
    """Mark notices `unknown` whose worker died while sending; returns how many."""
    lost = queries.notices(actor).filter(state=NoticeState.SENDING, sending_since__lt=now() - LOST_AFTER)
    found = list(lost.select_for_update(skip_locked=True))
    for notice in found:
        _settle(actor, notice, NoticeState.UNKNOWN, NOT_KNOWN)
    return len(found)


def requeue_failed(*, actor: Actor) -> int:
    """Schedule again the due notices without a pending outbox entry; returns how many."""
    late = queries.undelivered(actor, now() - LOST_AFTER)
    pending = Outbox.objects.filter(task="notices.send_notice", done_at=None, failed_at=None)
    pending_ids = set(pending.filter(shop_id=actor.shop_id).values_list("args__notice_id", flat=True))
    left = [notice_id for notice_id in late if str(notice_id) not in pending_ids]
    for notice in queries.notices(actor).filter(id__in=left):
        schedule_delivery(notice)
    return len(left)


def next_tidy_at(actor: Actor) -> datetime | None:
    """When the next unsent notice may be found lost, or without an outbox entry; None: none is unsent."""
    unsent = queries.notices(actor).filter(state__in=[NoticeState.WAITING, NoticeState.SENDING])
    moments = unsent.values_list("state", "not_before", "sending_since")
    since = [sending if state == NoticeState.SENDING else before for state, before, sending in moments]
    return min((at + LOST_AFTER for at in since if at is not None), default=None)


def _settle(actor: Actor, notice: Notice, state: NoticeState, reason: Reason | None) -> None:
    notice.state, notice.reason = state, pack(reason) if reason else ""
    notice.save(update_fields=["state", "reason"])
    why = {"reason": reason.to_json()} if reason else {}
    record(actor, f"notice {state}", (notice.about_kind, notice.about_id), notice=notice.id, **why)
