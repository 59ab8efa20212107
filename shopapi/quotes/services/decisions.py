"""Decisions of customers: stored as evidence, and applied if they match the offer."""

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from django.db.models import Q

from shopapi.accounts.models import Shop
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import Reason
from shopapi.core.feed import open_issue
from shopapi.core.models import Issue
from shopapi.core.rows import refuse_known_id
from shopapi.jobs.rules import Decision
from shopapi.jobs.services import decide_findings
from shopapi.notices.rules.templates import ASKING
from shopapi.notices.services.notices import withhold_unsent
from shopapi.quotes import queries
from shopapi.quotes.models import Approval, ApprovalLink, Line, Quote, Signature
from shopapi.quotes.rules import QuoteLine, QuoteTotals
from shopapi.quotes.rules.decision import DecisionAnomaly, OnOffer, anomaly_in
from shopapi.quotes.rules.schemas import DecisionRecord
from shopapi.quotes.services.accepted_parts import need_parts_of
from shopapi.quotes.services.drafts import derive_waits, request_pdf


@command(needs=Permission.RECORD_DECISION, fact=True, creates_row=True)
def decide_quote(*, actor: Actor, data: DecisionRecord) -> Approval:
    """Record a customer's decision, and apply it if it is about the current offer.

    Otherwise (other text, replaced, too late) it is stored as evidence and opens an issue.
    """
    return record_decision(actor=actor, data=data)


def record_decision(
    *, actor: Actor, data: DecisionRecord, link: ApprovalLink | None = None, user_agent: str = "", network: str = ""
) -> Approval:
    """Record a decision with its origin. The caller holds the transaction and the shop's write lock."""
    refuse_known_id(Approval, data.id)
    quote = queries.quote_for(actor, data.quote_id)
    lines = queries.lines_of(quote)
    zone = ZoneInfo(Shop.objects.values_list("zone", flat=True).get(id=actor.shop_id))
    offer = OnOffer(
        state=queries.state_of(quote),
        digest=quote.offer_digest,
        valid_until=quote.valid_until,
        questions=queries.questions_on(lines),
        agreed=frozenset(line.id for line in lines if line.agreed),
    )
    decided_at = actor.instant_of(data.decided_at)
    anomaly = anomaly_in(
        offer,
        digest=data.digest,
        decided_on=decided_at.astimezone(zone).date(),
        accepted=data.accepted_ids,
        declined=data.declined_ids,
    )
    totals = None if anomaly else queries.totals_as_decided(quote, lines, data.accepted_ids)
    total = None if totals is None else totals.total_minor
    approval = Approval.objects.create(
        shop_id=actor.shop_id,
        received_at=now(),
        signature=_keep_ink(actor, data),
        matches=anomaly is None,
        accepted_total_minor=total,
        accepted_labor_minor=_of_kind("labor", totals, lines),
        accepted_parts_minor=_of_kind("part", totals, lines),
        member_id=actor.member_id,
        device_id=actor.device_id,
        quote=quote,
        link=link,
        user_agent=user_agent,
        network=network,
        decided_at=decided_at,
        **data.model_dump(exclude={"signature", "quote_id", "decided_at"}),
    )
    details = {"approval": approval.id, "anomaly": anomaly, "accepted_total": total, "at": data.decided_at}
    record(actor, "quote decided", ("quote", quote.id), **details)
    if anomaly is None:
        _take_effect(actor, quote, data)
    else:
        _open_anomaly_issue(actor, approval, anomaly)
    return approval


def _of_kind(kind: str, totals: QuoteTotals | None, lines: Sequence[QuoteLine]) -> int | None:
    if totals is None:
        return None
    of_kind = {line.id for line in lines if line.kind == kind}
    return sum(line.amount_minor for line in totals.lines if line.accepted and line.id in of_kind)


def _keep_ink(actor: Actor, data: DecisionRecord) -> Signature | None:
    if data.signature is None:
        return None
    refuse_known_id(Signature, data.signature.id)
    return Signature.objects.create(
        shop_id=actor.shop_id,
        signer_name=data.decided_by_name,
        digest=data.digest,
        **data.signature.model_dump(),
    )


def _take_effect(actor: Actor, quote: Quote, data: DecisionRecord) -> None:
    quote.state = "decided"
    quote.save(update_fields=["state"])
    _replace_decided_before(quote)
    lines = Line.objects.filter(shop=actor.shop_id, quote=quote)
    for ids, decided in ((data.accepted_ids, Decision.ACCEPTED), (data.declined_ids, Decision.DECLINED)):
        lines.filter(id__in=ids).update(decided=decided)
    lines.filter(Q(kind="discount") | Q(agreed=True)).update(decided=Decision.ACCEPTED)
    # A finding with one accepted line will be repaired even if other lines about it were declined.
    accepted = set(lines.filter(id__in=data.accepted_ids).exclude(finding=None).values_list("finding_id", flat=True))
    declined = set(lines.filter(id__in=data.declined_ids).exclude(finding=None).values_list("finding_id", flat=True))
    decide_findings(actor=actor, finding_ids=accepted, decided=Decision.ACCEPTED)
    decide_findings(actor=actor, finding_ids=declined - accepted, decided=Decision.DECLINED)
    withhold_unsent(actor=actor, about=("quote", quote.id), templates=ASKING)
    derive_waits(actor, quote.job)
    need_parts_of(actor, quote)
    request_pdf(actor, quote)


def _replace_decided_before(quote: Quote) -> None:
    """Mark the earlier decided quote as replaced; there may be undecided revisions in between."""
    before = quote.replaces
    while before is not None:
        if before.state == "decided":
            before.state = "replaced"
            before.save(update_fields=["state"])
        before = before.replaces


def _open_anomaly_issue(actor: Actor, approval: Approval, anomaly: DecisionAnomaly) -> None:
    open_issue(
        shop_id=actor.shop_id,
        kind=Issue.Kind.HELD,
        command_id=actor.command_id,
        name="decide_quote",
        entity=("quote", approval.quote_id),
        reason=Reason(f"decision_{anomaly}"),
        theirs={"state": approval.quote.state, "revision": approval.quote.revision},
        ours={"approval_id": str(approval.id), "revision": approval.revision, "anomaly": anomaly},
        member_id=actor.member_id,
    )
