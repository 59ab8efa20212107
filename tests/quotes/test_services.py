"""Quotes from draft to decision: what is stored, what is refused, what follows."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest

from shopapi.core.errors import Conflict, DomainError, Forbidden, Invalid, NotFound
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent, Issue, Outbox
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Finding, Job
from shopapi.jobs.services import move_job
from shopapi.quotes.models import Approval, Line, Quote, Signature
from shopapi.quotes.rules.starting_prices import starting_prices
from shopapi.quotes.services.decisions import decide_quote
from shopapi.quotes.services.drafts import (
    draft_quote,
    edit_quote,
    lapse_quotes,
    offer_quote,
    put_quote_line,
    remake_pdf,
    remove_quote_line,
    withdraw_quote,
)
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.older_app import older_digest
from tests.factories.work import do


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def total(crew: Crew, quote_id: UUID) -> int:
    totals = stored(crew, quote_id).totals
    assert totals is not None
    minor: int = totals["total_minor"]
    return minor


def stored(crew: Crew, quote_id: UUID) -> Quote:
    with in_shop(crew.shop_id):
        return Quote.objects.select_related("job").get(id=quote_id)


def recorded(crew: Crew, quote_id: UUID) -> list[str]:
    with in_shop(crew.shop_id):
        return list(AuditEvent.objects.filter(subject_id=quote_id).order_by("id").values_list("event", flat=True))


def refusal(actor: Any, command: Any, **args: Any) -> DomainError:
    with pytest.raises(DomainError) as refused:
        do(actor, command, **args)
    return refused.value


def test_a_quote_from_draft_to_ink(crew: Crew) -> None:
    job = work.a_job(crew.mechanic)
    finding = work.a_finding(crew.mechanic, job)
    quote = work.a_draft(crew.mechanic, job)
    do(crew.mechanic, put_quote_line, quote_id=quote, finding_id=finding, **work.labor())
    do(crew.office, put_quote_line, quote_id=quote, **work.part())
    draft = stored(crew, quote)
    assert (draft.state, draft.number, total(crew, quote)) == ("draft", None, 16_300)

    do(crew.mechanic, offer_quote, **work.offer_of(crew.mechanic, quote))
    offered = stored(crew, quote)
    assert (offered.state, offered.number, offered.revision) == ("offered", "Q-301", 1)
    assert (offered.pdf_state, offered.job.waits_on) == ("waiting", ["approval"])
    assert offered.shown is not None
    assert offered.shown["customer"] == "Winnie Stroud"

    approval_id = work.a_decision(crew.mechanic, quote, accept=1)
    decided = stored(crew, quote)
    assert (decided.state, decided.job.waits_on) == ("decided", [])
    with in_shop(crew.shop_id):
        approval = Approval.objects.get(id=approval_id)
        assert (approval.matches, approval.accepted_total_minor, approval.how) == (True, 13_500, "glass")
        assert (approval.member_id, approval.device_id) == (crew.mechanic.member_id, crew.mechanic.device_id)
        assert approval.digest == decided.offer_digest == Signature.objects.get().digest
        lines = dict(Line.objects.filter(quote=quote).values_list("kind", "decided"))
        assert lines == {"labor": "accepted", "part": "declined"}
        assert Finding.objects.get(id=finding).decided == "accepted"
        promised = Outbox.objects.filter(task="quotes.make_pdf").values_list("args", flat=True)
        assert [args["quote_id"] for args in promised] == [str(quote)] * len(promised)
        assert not Issue.objects.exists()
    assert recorded(crew, quote) == [
        "quote drafted",
        "quote line put",
        "quote line put",
        "quote offered",
        "quote decided",
    ]


def test_a_revision_takes_the_place_of_the_quote_when_it_is_offered(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    first = work.an_offer(crew.owner, job)
    second = work.a_quote(crew.owner, job, replaces_id=first)
    assert stored(crew, first).state == "offered"
    do(crew.owner, offer_quote, **work.offer_of(crew.owner, second))
    before, after = stored(crew, first), stored(crew, second)
    assert (before.state, after.state) == ("replaced", "offered")
    assert (after.number, after.revision, after.replaces_id) == (before.number, 2, first)
    late = work.decision_on(crew.owner, first)
    assert do(crew.owner, decide_quote, **late).matches is False
    assert stored(crew, after.id).state == "offered"


def test_a_revision_belongs_to_the_same_job_and_the_newest_quote(crew: Crew) -> None:
    job, other = work.a_job(crew.owner), work.a_job(crew.owner)
    first = work.an_offer(crew.owner, job)
    args = {"mark": "B", "basis": starting_prices("USD")}
    assert (
        refusal(crew.owner, draft_quote, id=uuid7(), job_id=other, replaces_id=first, **args).fields[0].code
        == "another_job"
    )
    assert (
        refusal(crew.owner, draft_quote, id=uuid7(), job_id=job, kind="added", replaces_id=first, **args).code
        == "invalid"
    )
    draft = work.a_draft(crew.owner, job, replaces_id=first)
    assert refusal(crew.owner, draft_quote, id=uuid7(), job_id=job, replaces_id=first, **args).code == "not_newest"
    assert refusal(crew.owner, draft_quote, id=uuid7(), job_id=job, replaces_id=draft, **args).code == "not_replaceable"
    do(crew.owner, withdraw_quote, id=draft)
    work.a_draft(crew.owner, job, replaces_id=first)


def test_a_quote_taken_back_stays_so_when_its_revision_is_offered(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    first = work.an_offer(crew.owner, job)
    revision = work.a_quote(crew.owner, job, replaces_id=first)
    do(crew.office, withdraw_quote, id=first)
    do(crew.owner, offer_quote, **work.offer_of(crew.owner, revision))
    assert [stored(crew, quote).state for quote in (first, revision)] == ["withdrawn", "offered"]


def test_what_has_been_offered_does_not_change(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    quote = work.an_offer(crew.owner, job)
    with in_shop(crew.shop_id):
        line = Line.objects.filter(quote=quote).first()
        assert line is not None
    tries = [
        refusal(crew.owner, put_quote_line, quote_id=quote, **work.labor()),
        refusal(crew.owner, put_quote_line, quote_id=quote, **work.labor(id=line.id)),
        refusal(crew.owner, remove_quote_line, id=line.id),
        refusal(crew.owner, edit_quote, id=quote, base={"note": ""}, set={"note": "x"}),
        refusal(crew.owner, offer_quote, **work.offer_of(crew.owner, quote)),
    ]
    assert [(type(one), one.code) for one in tries] == [(Conflict, "not_a_draft")] * 5


def test_an_offer_is_of_exactly_what_was_shown(crew: Crew) -> None:
    quote = work.a_quote(crew.owner, work.a_job(crew.owner))
    shown = work.offer_of(crew.owner, quote)
    other_total = refusal(crew.owner, offer_quote, **{**shown, "total_minor": shown["total_minor"] - 1})
    assert (other_total.code, [f.field for f in other_total.fields]) == ("shown_differs", ["digest", "total_minor"])
    assert refusal(crew.owner, offer_quote, **{**shown, "digest": "0" * 64}).code == "shown_differs"
    do(crew.office, put_quote_line, quote_id=quote, **work.part(position=2))
    assert refusal(crew.owner, offer_quote, **shown).code == "shown_differs"
    assert (stored(crew, quote).state, stored(crew, quote).number) == ("draft", None)
    do(crew.owner, offer_quote, **work.offer_of(crew.owner, quote))
    assert stored(crew, quote).number == "Q-301"


def test_an_offer_that_an_older_app_signed_without_a_signal_is_taken_when_it_arrives(crew: Crew) -> None:
    quote = work.a_draft(crew.mechanic, work.a_job(crew.mechanic))
    decomposed = "Coming out to Mu\u0308hlbach"
    do(crew.mechanic, put_quote_line, quote_id=quote, **work.labor(words=decomposed))
    old = work.offer_of(crew.mechanic, quote, digest_of=older_digest)
    assert old["digest"] != work.offer_of(crew.mechanic, quote)["digest"]

    do(crew.mechanic, put_quote_line, quote_id=quote, **work.part())
    assert refusal(crew.mechanic, offer_quote, **old).code == "shown_differs"
    old = work.offer_of(crew.mechanic, quote, digest_of=older_digest)
    do(crew.mechanic, offer_quote, **old)
    approval_id = work.a_decision(crew.mechanic, quote)
    with in_shop(crew.shop_id):
        approval = Approval.objects.get(id=approval_id)
        assert (approval.matches, approval.digest) == (True, old["digest"])
        assert list(Line.objects.filter(quote=quote, kind="labor").values_list("words", flat=True)) == [decomposed]


def test_an_offer_needs_lines_and_an_end(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    empty = work.a_draft(crew.owner, job)
    assert refusal(crew.owner, offer_quote, **work.offer_of(crew.owner, empty)).fields[0].code == "no_lines"
    quote = work.a_quote(crew.owner, job)
    assert refusal(crew.owner, offer_quote, **work.offer_of(crew.owner, quote, days=500)).fields[0].code == "too_far"


def test_a_line_stays_in_its_quote_and_its_job(crew: Crew) -> None:
    one, other = work.a_job(crew.owner), work.a_job(crew.owner)
    quote, second = work.a_draft(crew.owner, one), work.a_draft(crew.owner, one)
    finding = work.a_finding(crew.owner, other)
    line = work.labor()
    do(crew.owner, put_quote_line, quote_id=quote, **line)
    assert isinstance(refusal(crew.owner, put_quote_line, quote_id=second, **line), NotFound)
    wrong = refusal(crew.owner, put_quote_line, quote_id=quote, finding_id=finding, **line)
    assert [(f.field, f.code) for f in wrong.fields] == [("finding_id", "another_job")]
    do(crew.owner, put_quote_line, quote_id=quote, **{**line, "hours": "2"})
    assert total(crew, quote) == 18_000
    do(crew.owner, remove_quote_line, id=line["id"])
    assert isinstance(refusal(crew.owner, remove_quote_line, id=line["id"]), NotFound)


def test_a_line_with_figures_of_another_kind_names_them(crew: Crew) -> None:
    quote = work.a_draft(crew.owner, work.a_job(crew.owner))
    refused = refusal(crew.owner, put_quote_line, quote_id=quote, **work.labor(unit_cost_minor=5))
    assert isinstance(refused, Invalid)
    assert [fault.field for fault in refused.fields] == ["unit_cost_minor"]


@pytest.mark.parametrize(
    ("change", "anomaly"),
    [
        ({"digest": "0" * 64}, "shown_differs"),
        ({"decided_at": "2035-01-01T00:00:00Z"}, "too_late"),
        ({"declined_ids": [str(uuid7())]}, "lines_differ"),
        ({"accepted_ids": []}, "lines_differ"),
    ],
)
def test_a_decision_with_an_anomaly_is_kept_and_opens_an_issue(
    crew: Crew, change: dict[str, object], anomaly: str
) -> None:
    job = work.a_job(crew.owner)
    quote = work.an_offer(crew.owner, job)
    approval_id = work.a_decision(crew.mechanic, quote, **change)
    with in_shop(crew.shop_id):
        approval, issue = Approval.objects.get(id=approval_id), Issue.objects.get()
        assert (approval.matches, approval.accepted_total_minor) == (False, None)
        assert Signature.objects.get() == approval.signature
        assert (issue.kind, issue.entity_id, issue.ours["anomaly"]) == ("held", quote, anomaly)
        assert set(Line.objects.values_list("decided", flat=True)) == {"open"}
        assert Job.objects.get(id=job).waits_on == ["approval"]
    assert stored(crew, quote).state == "offered"


def test_a_second_decision_does_not_undo_the_first(crew: Crew) -> None:
    quote = work.an_offer(crew.owner, work.a_job(crew.owner))
    second = work.decision_on(crew.owner, quote, accept=0)
    work.a_decision(crew.owner, quote)
    assert do(crew.owner, decide_quote, **second).matches is False
    with in_shop(crew.shop_id):
        assert set(Line.objects.values_list("decided", flat=True)) == {"accepted"}


def test_a_quote_lapses_the_day_after_its_last(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    quote = work.an_offer(crew.owner, job)
    last = stored(crew, quote).valid_until
    assert last is not None
    with in_shop(crew.shop_id):
        assert lapse_quotes(actor=crew.owner, today=last) == 0
        assert lapse_quotes(actor=crew.owner, today=last + timedelta(days=1)) == 1
        assert lapse_quotes(actor=crew.owner, today=last + timedelta(days=1)) == 0
    lapsed = stored(crew, quote)
    assert (lapsed.state, lapsed.job.waits_on) == ("lapsed", [])
    assert recorded(crew, quote)[-1] == "quote lapsed"
    # A decision made in time may arrive late.
    work.a_decision(crew.owner, quote)
    assert stored(crew, quote).state == "decided"


def test_what_is_decided_is_not_withdrawn(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    quote = work.an_offer(crew.owner, job)
    work.a_decision(crew.owner, quote)
    assert refusal(crew.owner, withdraw_quote, id=quote).code == "not_withdrawable"
    other = work.an_offer(crew.owner, job)
    do(crew.owner, withdraw_quote, id=other)
    assert (stored(crew, other).state, stored(crew, other).job.waits_on) == ("withdrawn", ["parts"])
    assert refusal(crew.owner, withdraw_quote, id=other).code == "not_withdrawable"


def test_pdf_is_made_of_what_was_offered(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    draft = work.a_quote(crew.owner, job)
    assert refusal(crew.owner, remake_pdf, id=draft).code == "not_offered"
    do(crew.owner, withdraw_quote, id=draft)
    assert refusal(crew.owner, remake_pdf, id=draft).code == "not_offered"


def test_who_may_not_is_refused(crew: Crew) -> None:
    quote = work.a_quote(crew.owner, work.a_job(crew.owner))
    offer = work.offer_of(crew.owner, quote)
    nobody = replace(crew.mechanic, permissions=frozenset({"read"}))
    for command, args in ((offer_quote, offer), (withdraw_quote, {"id": quote}), (remove_quote_line, {"id": uuid7()})):
        assert isinstance(refusal(nobody, command, **args), Forbidden)
    assert recorded(crew, quote) == ["quote drafted", "quote line put", "quote line put"]


def test_costs_are_not_lost_when_someone_who_may_not_see_them_saves_a_line(crew: Crew) -> None:
    quote = work.a_draft(crew.owner, work.a_job(crew.owner))
    line: dict[str, Any] = work.part()
    do(crew.owner, put_quote_line, quote_id=quote, **line)
    seen = {**line, "unit_cost_minor": None, "unit_price_minor": 1400, "quantity": "3"}
    do(crew.mechanic, put_quote_line, quote_id=quote, **seen)
    with in_shop(crew.shop_id):
        kept = Line.objects.get(id=line["id"])
    assert (kept.unit_cost_minor, kept.unit_price_minor, kept.quantity) == (1000, None, Decimal(3))
    assert total(crew, quote) == 4_200


def test_a_job_of_a_quote_moves_on_by_itself_only(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    work.a_decision(crew.owner, work.an_offer(crew.owner, job))
    with in_shop(crew.shop_id):
        assert Job.objects.get(id=job).stage == "intake"
    do(crew.mechanic, move_job, id=job, stage="repair")


def test_decision_on_the_phone_keeps_its_evidence(crew: Crew) -> None:
    """What 16 CCR 2722 has noted: date, time, who, number called, by whom, conditions, parts, labor and total."""
    quote_id = work.an_offer(crew.mechanic, work.a_job(crew.mechanic))
    said = {"number_called": "(555) 014-2210", "conditions": "Only if it is done by Friday"}
    args = {"how": "call", "signature": None, **said}
    approval_id = work.a_decision(crew.mechanic, quote_id, **args)
    with in_shop(crew.shop_id):
        approval = Approval.objects.get(id=approval_id)
        assert (approval.number_called, approval.conditions) == tuple(said.values())
        assert approval.member_id == crew.mechanic.member_id
        # An hour and a half at 90.00; two parts at 14.00; no tax.
        amounts = (approval.accepted_labor_minor, approval.accepted_parts_minor, approval.accepted_total_minor)
        assert amounts == (13500, 2800, 16300)
    declined = work.an_offer(crew.mechanic, work.a_job(crew.mechanic))
    approval_id = work.a_decision(crew.mechanic, declined, accept=0, **args)
    with in_shop(crew.shop_id):
        approval = Approval.objects.get(id=approval_id)
        assert (approval.accepted_labor_minor, approval.accepted_parts_minor, approval.accepted_total_minor) == (
            0,
            0,
            0,
        )
