"""Post notices, record those sent by hand, send again."""

from collections.abc import Collection, Mapping
from datetime import timedelta
from typing import Any, cast
from uuid import UUID

from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, Invalid, Reason, pack
from shopapi.core.languages import ENGLISH, Language
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.core.schema import Target
from shopapi.notices import queries
from shopapi.notices.models import Notice
from shopapi.notices.rules.address import plain_address
from shopapi.notices.rules.notice import (
    NO_LONGER_NEEDED,
    NOTICE_TRANSITIONS,
    OPTED_OUT,
    Channel,
    MessageRecord,
    NoticeState,
    SentByHand,
)
from shopapi.notices.rules.templates import fields_of


def post_notice(
    *,
    actor: Actor,
    channel: Channel | str,
    address: str,
    name: str,
    template: str,
    values: Mapping[str, Any],
    about: tuple[str, UUID],
    dedupe_key: str,
    wait: timedelta = timedelta(0),
    language: Language | str = ENGLISH,
) -> Notice:
    """Queue one message to one person, in the transaction and under the shop's write lock of the caller.

    `address` is a mail address, a telephone number, or the id of a member (push). `values` fill the template's fields;
    each is a text, or names a secret link as {"resolver": name, "id": id}: the link is resolved when the message is
    sent, by the function named in settings.NOTICE_LINKS, and is never stored. A repeated `dedupe_key` returns the
    first notice and writes nothing. It goes out no sooner than after `wait`,
    worded in `language`.
    The notice is `by_hand` where this server cannot send over the channel, `withheld` where the address opted out.
    Raises Invalid naming `address`, `template` or `values`.
    """
    known = queries.notices(actor).filter(dedupe_key=dedupe_key).first()
    if known is not None:
        return known
    shop, channel = shop_of(actor), Channel(channel)
    address = plain_address(channel, address, region=queries.region_of(shop))
    worded_for = channel if channel != Channel.BY_HAND else Channel.EMAIL if "@" in address else Channel.SMS
    wording = queries.wording_for(actor, template, worded_for, cast("Language", language))
    missing = sorted(fields_of(wording) - values.keys())
    if missing:
        context = {"missing": ", ".join(missing)}
        faults = [FieldError(f"values.{one}", "missing", message="values_missing", context=context) for one in missing]
        raise Invalid("invalid", fields=faults)
    state, reason = _first_state(actor, worded_for, channel, address)
    notice = Notice.objects.create(
        shop_id=actor.shop_id,
        channel=channel,
        address=address,
        name=name[:120],
        template=template,
        subject_words=wording.subject,
        body_words=wording.body,
        values=_storable_values(values),
        about_kind=about[0],
        about_id=about[1],
        dedupe_key=dedupe_key,
        state=state,
        reason=reason,
        not_before=queries.may_go_at(shop, channel, now() + wait),
        member_id=actor.member_id,
    )
    if state == NoticeState.WAITING:
        schedule_delivery(notice)
    record(actor, "notice posted", about, notice=notice.id, channel=channel, template=template, state=state)
    return notice


def _first_state(actor: Actor, template: str, channel: Channel, address: str) -> tuple[NoticeState, str]:
    """The state of a new notice, and the reason where it does not wait for a worker."""
    if queries.has_opted_out(actor, template, address):
        return NoticeState.WITHHELD, pack(OPTED_OUT)
    if channel == Channel.BY_HAND:
        return NoticeState.BY_HAND, ""
    if not queries.is_set_up(channel):
        state = NoticeState.REFUSED if channel == Channel.PUSH else NoticeState.BY_HAND
        return state, pack(Reason(f"not_set_up_{channel}"))
    return NoticeState.WAITING, ""


def schedule_delivery(notice: Notice) -> None:
    """Add the outbox entry that sends a waiting notice when it is due."""
    after_commit("notices.send_notice", shop_id=notice.shop_id, at=notice.not_before, notice_id=notice.id)


def withhold_unsent(*, actor: Actor, about: tuple[str, UUID], templates: Collection[str]) -> None:
    """Withhold what has not gone out of these messages about a row: it is no longer so, or was answered."""
    found = queries.notices(actor).filter(about_kind=about[0], about_id=about[1], template__in=templates)
    for notice in found.filter(state__in=(NoticeState.WAITING, NoticeState.BY_HAND)).select_for_update():
        notice.state, notice.reason = NoticeState.WITHHELD, pack(NO_LONGER_NEEDED)
        notice.save(update_fields=["state", "reason"])
        record(actor, "notice withheld", about, notice=notice.id, reason=NO_LONGER_NEEDED.to_json())


def _storable_values(values: Mapping[str, Any]) -> dict[str, Any]:
    stored: dict[str, Any] = {}
    for field, value in values.items():
        if isinstance(value, Mapping):
            stored[field] = {"resolver": str(value["resolver"]), "id": str(value["id"])}
        else:
            stored[field] = str(value)
    return stored


@command(needs=Permission.MESSAGE, fact=True, creates_row=True)
def record_message(*, actor: Actor, data: MessageRecord) -> Notice:
    """Record a message that a member sent from the phone's own mail or message program."""
    refuse_known_id(Notice, data.id)
    address = plain_address(Channel.BY_HAND, data.address, region=queries.region_of(shop_of(actor)))
    notice = Notice.objects.create(
        id=data.id,
        shop_id=actor.shop_id,
        channel=Channel.BY_HAND,
        address=address,
        name=data.name,
        template=data.template,
        # The text was typed by a person, so its braces are not fields.
        subject_words="{subject}",
        body_words="{body}",
        values={"subject": data.subject, "body": data.body},
        about_kind=data.about_kind,
        about_id=data.about_id,
        dedupe_key=str(data.id),
        state=NoticeState.SENT,
        sent_at=actor.instant_of(data.sent_at),
        member_id=actor.member_id,
    )
    record(actor, "message sent by hand", (data.about_kind, data.about_id), notice=notice.id, at=data.sent_at)
    return notice


@command(needs=Permission.MESSAGE, fact=True, rest_name="sent")
def note_sent_by_hand(*, actor: Actor, data: SentByHand) -> Notice:
    """Mark a notice as sent from a member's own phone."""
    notice = row_for(Notice, actor, data.id)
    if notice.state == NoticeState.SENT:
        return notice
    if NoticeState.SENT not in NOTICE_TRANSITIONS[NoticeState(notice.state)] or notice.state == NoticeState.SENDING:
        raise Conflict("being_sent")
    notice.state, notice.reason, notice.sent_at = NoticeState.SENT, "", actor.instant_of(data.sent_at)
    notice.save(update_fields=["state", "reason", "sent_at"])
    about = (notice.about_kind, notice.about_id)
    record(actor, "notice sent by hand", about, notice=notice.id, at=data.sent_at)
    return notice


@command(needs=Permission.MESSAGE, rest_name="again")
def send_again(*, actor: Actor, data: Target) -> Notice:
    """Send a notice again that was refused or may not have been sent; one that waits for the morning is sent now."""
    notice = row_for(Notice, actor, data.id)
    if notice.state not in {NoticeState.WAITING, NoticeState.REFUSED, NoticeState.UNKNOWN}:
        raise Conflict("not_to_be_sent")
    if not queries.is_set_up(Channel(notice.channel)):
        raise Conflict("not_set_up", message=f"not_set_up_{notice.channel}")
    record(actor, "notice sent again", (notice.about_kind, notice.about_id), notice=notice.id, before=notice.state)
    notice.state, notice.reason, notice.tries, notice.not_before = NoticeState.WAITING, "", 0, now()
    notice.save(update_fields=["state", "reason", "tries", "not_before"])
    schedule_delivery(notice)
    return notice
