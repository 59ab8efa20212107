"""The shop's own templates, opt-outs and push subscriptions."""

from typing import Any

from django.conf import settings

from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.errors import Forbidden
from shopapi.core.rows import refuse_known_id, row_among, row_for
from shopapi.core.schema import MOST_LABEL, Target
from shopapi.notices import queries
from shopapi.notices.models import NoticeTemplate, OptOut, PushSubscription
from shopapi.notices.rules.address import check_endpoint, plain_address
from shopapi.notices.rules.notice import MOST_MESSAGE, Channel, NewOptOut, PushKeys, TemplateRecord
from shopapi.notices.rules.templates import Wording, check_template


def _rename_question(args: dict[str, Any]) -> dict[str, Any]:
    """Arguments of version 1, in which a customer's question was called `owner_asked` and the customer `{owner}`."""
    if args.get("key") != "owner_asked":
        return args
    texts = {
        part: _name_customer(args[part], most)
        for part, most in (("subject", MOST_LABEL), ("body", MOST_MESSAGE))
        if isinstance(args.get(part), str)
    }
    return {**args, **texts, "key": "customer_asked"}


def _name_customer(text: str, most: int) -> str:
    """The placeholder is three letters longer now: a text that would no longer fit goes without it.

    Twin: migration 0003 of this app, for the subjects that were stored.
    """
    named = text.replace("{owner}", "{customer}")
    return named if len(named) <= most else text.replace("{owner}", "")


@command(needs=Permission.EDIT_SHOP, creates_row=True, upgrades={1: _rename_question})
def put_notice_template(*, actor: Actor, data: TemplateRecord) -> NoticeTemplate:
    """Set the shop's own words for one kind of message over one channel in one language."""
    check_template(data.key, data.channel, Wording(subject=data.subject, body=data.body), data.language)
    one = {"key": data.key, "channel": data.channel, "language": data.language}
    template = queries.templates(actor).select_for_update().filter(**one).first()
    if template is None:
        refuse_known_id(NoticeTemplate, data.id)
        template = NoticeTemplate(id=data.id, shop_id=actor.shop_id, **one)
    template.subject, template.body = data.subject, data.body
    template.save()
    record(actor, "message worded", ("notice_template", template.id), **one)
    return template


@command(needs=Permission.EDIT_SHOP, deletes_row=True, rest_name="reset")
def drop_notice_template(*, actor: Actor, data: Target) -> NoticeTemplate:
    """Delete the shop's own words, so that the default ones apply again."""
    template = row_for(NoticeTemplate, actor, data.id)
    template.delete()
    template.pk = data.id
    record(actor, "message wording dropped", ("notice_template", data.id), key=template.key)
    return template


@command(needs=Permission.MESSAGE, creates_row=True)
def opt_out(*, actor: Actor, data: NewOptOut) -> OptOut:
    """Record that an address wants no more messages over a channel."""
    address = plain_address(Channel(data.channel), data.address, region=queries.region_of(shop_of(actor)))
    known = queries.opt_outs(actor).filter(channel=data.channel, address__iexact=address).first()
    if known is not None:
        return known
    refuse_known_id(OptOut, data.id)
    row = OptOut.objects.create(
        id=data.id,
        shop_id=actor.shop_id,
        channel=data.channel,
        address=address,
        reason=data.reason,
        member_id=actor.member_id,
    )
    record(actor, "opted out", ("opt_out", row.id), channel=data.channel)
    return row


@command(needs=Permission.MESSAGE, deletes_row=True, rest_name="lift")
def opt_in(*, actor: Actor, data: Target) -> OptOut:
    """Record that an address accepts messages again."""
    row = row_for(OptOut, actor, data.id)
    row.delete()
    row.pk = data.id
    record(actor, "opted in", ("opt_out", data.id), channel=row.channel)
    return row


@command(needs=Permission.READ, creates_row=True)
def turn_on_push(*, actor: Actor, data: PushKeys) -> PushSubscription:
    """Turn push on for the acting device; a new subscription replaces its last one."""
    check_endpoint(data.endpoint, settings.PUSH_HOSTS, loopback=settings.PUSH_LOOPBACK)
    if actor.device_id is None or actor.member_id is None:
        raise Forbidden("forbidden", message="device_shows_push")
    queries.subscriptions(actor).filter(device=actor.device_id).exclude(id=data.id).delete()
    row = queries.subscriptions(actor).filter(id=data.id).first()
    if row is None:
        refuse_known_id(PushSubscription, data.id)
        row = PushSubscription(id=data.id, shop_id=actor.shop_id, member_id=actor.member_id, device_id=actor.device_id)
    row.endpoint, row.p256dh, row.auth = data.endpoint, data.p256dh, data.auth
    row.save()
    record(actor, "push turned on", ("device", actor.device_id))
    return row


@command(needs=Permission.READ, deletes_row=True, rest_name="remove")
def turn_off_push(*, actor: Actor, data: Target) -> PushSubscription:
    """Turn push off for a device."""
    row = row_among(queries.subscriptions(actor), data.id, lock=False)
    row.delete()
    row.pk = data.id
    record(actor, "push turned off", ("device", row.device_id))
    return row
