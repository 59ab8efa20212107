"""Reads of notices, templates, opt-outs and push subscriptions."""

from datetime import datetime, time
from uuid import UUID

from django.conf import settings
from django.db.models import Exists, OuterRef, QuerySet

from shopapi.accounts.models import Device, Shop
from shopapi.accounts.queries import shop_of
from shopapi.core.actor import Actor
from shopapi.core.errors import Invalid
from shopapi.core.languages import ENGLISH, Language
from shopapi.notices.models import Notice, NoticeTemplate, OptOut, PushSubscription
from shopapi.notices.queries.regions import region_of_zone
from shopapi.notices.rules.address import plain_address
from shopapi.notices.rules.notice import (
    Channel,
    ChannelsRow,
    NoticeRow,
    NoticeState,
)
from shopapi.notices.rules.quiet_hours import free_at
from shopapi.notices.rules.templates import Wording, fill, message_type_of


def notices(actor: Actor) -> QuerySet[Notice]:
    return Notice.objects.filter(shop=actor.shop_id)


def templates(actor: Actor) -> QuerySet[NoticeTemplate]:
    return NoticeTemplate.objects.filter(shop=actor.shop_id)


def opt_outs(actor: Actor) -> QuerySet[OptOut]:
    return OptOut.objects.filter(shop=actor.shop_id)


def subscriptions(actor: Actor) -> QuerySet[PushSubscription]:
    """The push subscriptions of the acting member's own devices."""
    return PushSubscription.objects.filter(shop=actor.shop_id, member=actor.member_id)


def live_subscriptions(actor: Actor) -> QuerySet[PushSubscription]:
    """The shop's push subscriptions that still get messages.

    A subscription ends when its device is signed off, or any device that shared a session with it.
    """
    shared = Device.objects.filter(
        shop=OuterRef("shop"),
        member=OuterRef("member"),
        revoked_at__gte=OuterRef("changed_at"),
        sign_ins__overlap=OuterRef("device__sign_ins"),
    )
    found = PushSubscription.objects.filter(shop=actor.shop_id, member__active=True, device__revoked_at=None)
    return found.exclude(Exists(shared))


def members_with_push(actor: Actor) -> list[tuple[UUID, str]]:
    """Ids and names of the shop's members with push turned on for at least one device."""
    return list(live_subscriptions(actor).order_by("member_id").values_list("member_id", "member__name").distinct())


def show_notice(actor: Actor, notice: Notice) -> NoticeRow:
    filled = filled_texts(notice)
    return NoticeRow.model_validate(
        {
            name: getattr(notice, name)
            for name in NoticeRow.model_fields
            if name not in {"subject", "body", "has_link", "because"}
        }
        | {"subject": filled.subject, "body": filled.body, "has_link": bool(resolve_links(notice))}
    )


def resolve_links(notice: Notice) -> dict[str, tuple[str, UUID]]:
    """The secret links of a notice as (field, resolver, id)."""
    return {
        field: (value["resolver"], UUID(value["id"]))
        for field, value in notice.values.items()
        if isinstance(value, dict)
    }


def filled_texts(notice: Notice, links: dict[str, str] | None = None) -> Wording:
    """Subject and body with the values filled in; a link that is not given stays as its name in braces."""
    values = {field: value for field, value in notice.values.items() if isinstance(value, str)} | (links or {})
    return Wording(subject=fill(notice.subject_words, values), body=fill(notice.body_words, values))


def wording_for(actor: Actor, key: str, channel: str, language: Language = ENGLISH) -> Wording:
    """The words of a kind of message: the shop's own in this language, else the default in it.

    Raises Invalid for an unknown kind.
    """
    message_type = message_type_of(key, channel, field="template")
    own = templates(actor).filter(key=key, channel=channel, language=language).first()
    return message_type.wording(channel, language) if own is None else Wording(subject=own.subject, body=own.body)


def has_opted_out(actor: Actor, channel: str, address: str) -> bool:
    return opt_outs(actor).filter(channel=channel, address__iexact=address).exists()


def region_of(shop: Shop) -> str | None:
    """The country (ISO 3166) of numbers without a country code: that of the shop's zone, else of its locale."""
    from_zone = region_of_zone(shop.zone)
    if from_zone:
        return from_zone
    parts = shop.locale.split("-")
    return next((part.upper() for part in parts[1:] if len(part) == 2 and part.isalpha()), None)


def may_go_at(shop: Shop, channel: Channel, at: datetime) -> datetime:
    """When a message posted at `at` may be sent: mail and text messages wait for the end of quiet hours."""
    if channel not in {Channel.EMAIL, Channel.SMS}:
        return at
    begins, ends = time.fromisoformat(shop.quiet_from), time.fromisoformat(shop.quiet_until)
    return free_at(at, zone=shop.zone, begins=begins, ends=ends)


def is_set_up(channel: Channel) -> bool:
    """Whether this server can send over a channel."""
    return bool({Channel.EMAIL: settings.SMTP, Channel.SMS: settings.SMS, Channel.PUSH: settings.VAPID}.get(channel))


def notified_of(actor: Actor, about: tuple[str, UUID], template: str) -> bool:
    """Whether a message of a kind about a row went out, or is to go out."""
    found = notices(actor).filter(about_kind=about[0], about_id=about[1], template=template)
    return found.exclude(state=NoticeState.WITHHELD).exists()


def count_notices(actor: Actor, about: tuple[str, UUID], template: str) -> int:
    """How many messages of a kind there are about a row, withheld ones included."""
    return notices(actor).filter(about_kind=about[0], about_id=about[1], template=template).count()


def reachable_at(actor: Actor, *, phone: str, email: str, wish: str = "") -> tuple[Channel, str] | None:
    """How a customer is written to: as they wish ("text", "email"), else what this server sends, else by text message.

    None where there is no address, or none that takes messages.
    """
    known = [(Channel.SMS, phone), (Channel.EMAIL, email)]
    open_ones = [(channel, address) for channel, address in known if address and not _is_shut(actor, channel, address)]
    asked = {"text": Channel.SMS, "email": Channel.EMAIL}.get(wish)
    return min(open_ones, key=lambda one: (one[0] != asked, not is_set_up(one[0])), default=None)


def _is_shut(actor: Actor, channel: Channel, address: str) -> bool:
    """Whether an address as typed cannot be written to, or asked for no messages."""
    try:
        plain = plain_address(channel, address, region=region_of(shop_of(actor)))
    except Invalid:
        return True
    return has_opted_out(actor, channel, plain)


def channels() -> ChannelsRow:
    key = settings.VAPID["public"] if settings.VAPID else None
    return ChannelsRow(email=is_set_up(Channel.EMAIL), sms=is_set_up(Channel.SMS), push_key=key)


def undelivered(actor: Actor, before: datetime) -> list[UUID]:
    """The waiting notices that were due before an instant."""
    late = notices(actor).filter(state=NoticeState.WAITING, not_before__lt=before)
    return list(late.order_by("not_before").values_list("id", flat=True)[:1000])
