"""Requests to customers through a link: sent, opened, answered, revoked; and customers' questions."""

from dataclasses import dataclass
from uuid import UUID

from shopapi.accounts.models import Shop
from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission, network_block
from shopapi.accounts.services.throttling import count_attempt, refuse_too_many
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, Invalid, NotFound
from shopapi.core.feed import lock_shop
from shopapi.core.ids import uuid7
from shopapi.core.languages import locale_for
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.core.schema import Target, parse
from shopapi.core.tenancy import in_shop
from shopapi.documents.rules import Figures
from shopapi.notices.queries import members_with_push, region_of
from shopapi.notices.rules.address import plain_address
from shopapi.notices.rules.notice import Channel as NoticeChannel
from shopapi.notices.services.notices import post_notice
from shopapi.quotes import queries
from shopapi.quotes.models import ApprovalLink, CustomerQuestion, Quote
from shopapi.quotes.queries import approval_requests
from shopapi.quotes.rules import QuoteTotals
from shopapi.quotes.rules.approval_requests import (
    GUESS_MOST,
    SENDS_MOST,
    Answer,
    Question,
    SendRequest,
    link_status,
    shortened,
)
from shopapi.quotes.rules.lines import is_asked
from shopapi.quotes.rules.schemas import DecisionRecord, Shown
from shopapi.quotes.rules.texts import TEXTS
from shopapi.quotes.services.decisions import record_decision
from shopapi.quotes.services.links import make_link

OPENED_AGAIN_SECONDS = 60
LONGEST_USER_AGENT = 400


@dataclass(frozen=True)
class LinkVisit:
    """A visit of a customer page: its link, user agent and network."""

    shop_id: UUID
    link_id: UUID
    user_agent: str = ""
    network: str = ""

    @property
    def actor(self) -> Actor:
        """The actor of a visitor, who is no member and may only decide this one offer."""
        return Actor(shop_id=self.shop_id, member_id=None, permissions=frozenset({Permission.RECORD_DECISION}))


@command(needs=Permission.OFFER, creates_row=True)
def send_approval_request(*, actor: Actor, data: SendRequest) -> ApprovalLink:
    """Ask a customer to decide an offered quote through a new link.

    By e-mail or text message the link is sent as a notice; where this server cannot send, the member does.
    """
    refuse_known_id(ApprovalLink, data.id)
    quote = queries.quote_for(actor, data.quote_id)
    if quote.state != "offered":
        raise Conflict(
            "not_on_offer",
            fields=[FieldError("quote_id", "not_on_offer", context={"state": quote.state})],
            context={"state": quote.state},
        )
    address = ""
    if data.channel != "qr":
        region = region_of(shop_of(actor))
        address = plain_address(NoticeChannel(data.channel), data.address, region=region)
    link = make_link(actor, quote, link_id=data.id, channel=data.channel, address=address, name=data.name.strip())
    if data.channel != "qr":
        _send(actor, quote, link)
    return link


def _send(actor: Actor, quote: Quote, link: ApprovalLink) -> None:
    shop, shown = shop_of(actor), parse(Shown, quote.shown)
    figures = Figures(locale_for(shop.locale, shown.language), shop.currency, shop.zone, shown.language)
    post_notice(
        actor=actor,
        channel=link.channel,
        address=link.address,
        name=link.name,
        template="approval_request",
        values={
            "customer": link.name or shown.customer,
            "shop": shown.shop,
            "machine": shown.machine,
            "job": str(quote.job),
            "about": TEXTS[shown.language][f"about_{_asked_as(quote)}"],
            "total": figures.money(parse(QuoteTotals, quote.totals).total_minor),
            "link": {"resolver": "approval", "id": link.id},
        },
        about=("quote", quote.id),
        dedupe_key=f"approval:{link.id}",
        language=shown.language,
    )


def _asked_as(quote: Quote) -> str:
    """What the message calls a quote: a revision of one that was on offer, added work, or the first."""
    if quote.replaces is not None and quote.replaces.offered_at is not None:
        return "revision"
    return queries.kind_of(quote)


@command(needs=Permission.OFFER)
def revoke_approval_link(*, actor: Actor, data: Target) -> ApprovalLink:
    """Revoke a request; its link can no longer be answered."""
    link = row_for(ApprovalLink, actor, data.id)
    if link.used_at is not None:
        raise Conflict("link_used")
    if link.revoked_at is None:
        link.revoked_at = now()
        link.save(update_fields=["revoked_at"])
        record(actor, "approval request taken back", ("quote", link.quote_id), link=link.id)
    return link


@command(needs=Permission.OFFER, former_names=("answer_owner_question",))
def answer_customer_question(*, actor: Actor, data: Target) -> CustomerQuestion:
    """Record that a member has called the customer about their question."""
    question = row_for(CustomerQuestion, actor, data.id)
    if question.answered_at is None:
        question.answered_at, question.answered_by_id = now(), actor.member_id
        question.save(update_fields=["answered_at", "answered_by_id"])
        record(actor, "customer question answered", ("quote", question.quote_id), question=question.id)
    return question


def find_link(*, token: str, network: str, user_agent: str = "") -> LinkVisit:
    """The link of a secret. Raises NotFound for an unknown one, TooMany after too many unknown ones from one network.

    A valid secret is never blocked, so that other visitors of a network cannot lock a customer out.
    """
    found = approval_requests.shop_of_link(token)
    if found is None:
        place = network_block(network)
        refuse_too_many("link guess", place, GUESS_MOST, "too_many_link_tries")
        count_attempt("link guess", place)
        raise NotFound("link", "")
    shop_id, link_id = found
    return LinkVisit(shop_id, link_id, user_agent[:LONGEST_USER_AGENT].replace("\x00", ""), network)


def count_sent(visit: LinkVisit) -> None:
    """Count a form sent through a link. Raises TooMany."""
    refuse_too_many("link", str(visit.link_id), SENDS_MOST, "too_many_link_tries")
    count_attempt("link", str(visit.link_id))


def record_opening(visit: LinkVisit) -> None:
    """Record that a link was opened, at most once per minute. It has no other effect."""
    with in_shop(visit.shop_id):
        lock_shop(visit.shop_id)
        link = row_for(ApprovalLink, visit.actor, visit.link_id)
        at = now()
        if link.opened_at is None or (at - link.opened_at).total_seconds() >= OPENED_AGAIN_SECONDS:
            link.opened_at, link.opened_count = at, link.opened_count + 1
            link.save(update_fields=["opened_at", "opened_count"])


def decide_by_link(*, visit: LinkVisit, answer: Answer) -> ApprovalLink:
    """Apply a customer's answer. Only the first answer through a link counts.

    Raises Conflict with the link's status as code when it can no longer be answered; nothing is stored then, since the
    page says so. Raises Invalid when a line has no answer.
    """
    with in_shop(visit.shop_id):
        lock_shop(visit.shop_id)
        actor = visit.actor
        link, quote = _asking(visit)
        lines = queries.lines_of(quote)
        yes, no = (queries.whole_questions(lines, ids) for ids in (answer.yes, answer.no))
        if {*yes, *no} != {line.id for line in lines if is_asked(line)} or set(yes) & set(no):
            raise Invalid("invalid", fields=[FieldError("lines", "lines_differ")])
        at = now()
        record_decision(
            actor=actor,
            data=DecisionRecord(
                id=uuid7(),
                quote_id=quote.id,
                revision=link.revision,
                how="link",
                decided_by_name=answer.name,
                decided_at=at,
                zone=Shop.objects.values_list("zone", flat=True).get(id=visit.shop_id),
                digest=link.digest,
                accepted_ids=yes,
                declined_ids=no,
            ),
            link=link,
            user_agent=visit.user_agent,
            network=visit.network,
        )
        link.used_at = at
        link.save(update_fields=["used_at"])
        return link


def post_question(*, visit: LinkVisit, question: Question) -> CustomerQuestion:
    """Store a customer's question. Raises Conflict when the link can no longer be answered."""
    with in_shop(visit.shop_id):
        lock_shop(visit.shop_id)
        link, quote = _asking(visit)
        asked = CustomerQuestion.objects.create(
            shop_id=visit.shop_id,
            quote=quote,
            link=link,
            name=question.name.strip()[:120] or link.name,
            words=question.words.strip(),
            asked_at=now(),
        )
        record(visit.actor, "customer asked back", ("quote", quote.id), question=asked.id)
        _tell_members(visit.actor, quote, asked)
        return asked


def _tell_members(actor: Actor, quote: Quote, asked: CustomerQuestion) -> None:
    """Send a push message to the members who turned push on, since the customer is waiting."""
    values = {
        "customer": asked.name or quote.job.customer.name,
        "job": str(quote.job),
        "question": shortened(asked.words),
    }
    for member_id, name in members_with_push(actor):
        post_notice(
            actor=actor,
            channel="push",
            address=str(member_id),
            name=name,
            template="customer_asked",
            values=values,
            about=("quote", quote.id),
            dedupe_key=f"customer_asked:{asked.id}:{member_id}",
        )


def _asking(visit: LinkVisit) -> tuple[ApprovalLink, Quote]:
    link = row_for(ApprovalLink, visit.actor, visit.link_id)
    quote = queries.quote_for(visit.actor, link.quote_id)
    status = link_status(approval_requests.link_facts(link, quote), now())
    if status != "open":
        raise Conflict(status, message=f"link_{status}")
    return link, quote
