"""What a revision changes against the signed quote, and the answers it keeps: rule, page, PDF and evidence."""

import json
import re
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest

from shopapi.accounts.models import Shop
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.notices.models import Notice
from shopapi.notices.queries import filled_texts
from shopapi.quotes.models import Approval, Line, Quote
from shopapi.quotes.rules.changes import OfferedRevision, compare_offers, successors_of
from shopapi.quotes.rules.pdf import QuoteSheet
from shopapi.quotes.services.drafts import offer_quote, put_quote_line
from shopapi.quotes.services.quote_pdf import page_of
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do
from tests.quotes.test_asking import customer_phone

FILE = json.loads((Path(__file__).parents[2] / "fixtures" / "pricing" / "changes.json").read_text())
VECTORS = FILE["vectors"]


@pytest.mark.parametrize("vector", VECTORS, ids=lambda vector: vector["name"])
def test_vectors(vector: dict[str, Any]) -> None:
    found = compare_offers(vector["before"], vector["after"], accepted=vector["accepted"], declined=vector["declined"])
    assert [
        [
            one.question.key,
            one.change,
            one.before_minor,
            one.answer,
            [[each.line["id"], each.change, each.before_minor] for each in one.lines],
        ]
        for one in found
    ] == vector["expect"]


@pytest.mark.parametrize("chain", FILE["chains"], ids=lambda chain: chain["name"])
def test_lines_that_replaced_others(chain: dict[str, Any]) -> None:
    assert successors_of([OfferedRevision(**revision) for revision in chain["revisions"]]) == chain["expect"]


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def revised(crew: Crew, signed: UUID, *lines: dict[str, object]) -> UUID:
    """A revision on offer with these lines."""
    with in_shop(crew.shop_id):
        job = Quote.objects.get(id=signed).job_id
    revision = work.a_draft(crew.owner, job, replaces_id=signed)
    for line in lines:
        do(crew.owner, put_quote_line, quote_id=revision, **line)
    do(crew.owner, offer_quote, **work.offer_of(crew.owner, revision))
    return revision


def sheet_of(crew: Crew, quote: UUID) -> QuoteSheet:
    with in_shop(crew.shop_id):
        return page_of(Quote.objects.get(id=quote), Shop.objects.get(id=crew.shop_id))


def signed_quote(crew: Crew) -> UUID:
    """135.00 of labor that was accepted and a part of 28.00 that was declined."""
    signed = work.an_offer(crew.owner, work.a_job(crew.owner))
    work.a_decision(crew.owner, signed, accept=1)
    return signed


def test_a_revision_shows_what_changed_and_keeps_answers_on_the_link_and_in_the_evidence(crew: Crew) -> None:
    signed = signed_quote(crew)
    labor, part = work.labor(hours="2"), work.part()
    blade = work.part(id=uuid7(), position=2, words="Blade", unit_cost_minor=None, unit_price_minor=2000)
    revision = revised(crew, signed, labor, part, blade)

    sheet = sheet_of(crew, revision)
    assert sheet.changes is not None
    assert [(row.words, row.said, row.amount) for row in sheet.changes.rows] == [
        ("Fit new brushes", "Changed, was $135.00", "$180.00"),
        ("Blade", "New", "$40.00"),
    ]
    assert sheet.changes.same == "1 item hasn't changed."
    rows = [row for group in sheet.groups for row in group.lines]
    assert [row.change for row in rows] == ["Changed, was $135.00", "", "New"]
    assert [row.kept.partition(" on ")[0] for row in rows] == ["", "Not changed. Answered no", ""]

    phone, path = customer_phone(), work.path_of(crew.owner, work.a_request(crew.owner, revision))
    text = phone.get(path).content.decode()
    assert text.count(" checked") == 1
    assert f'name="line-{part["id"]}" value="no" checked' in text
    assert "Changed, was $135.00" in text
    # The customer may change the answer that was kept; the decision covers every line.
    said = {f"line-{labor['id']}": "yes", f"line-{part['id']}": "yes", f"line-{blade['id']}": "no"}
    assert f'name="line-{part["id"]}" value="yes"' in phone.post(path, {"step": "check", **said}).content.decode()
    phone.post(path, {"step": "decide", "name": "Winnie Stroud", **said})
    with in_shop(crew.shop_id):
        approval = Approval.objects.get(quote=revision)
        assert approval.matches
        assert set(approval.accepted_ids) == {labor["id"], part["id"]}
        assert approval.declined_ids == [blade["id"]]
        assert Line.objects.get(id=str(part["id"])).decided == "accepted"
    # What was decided is compared with the same signed quote, though that is replaced now.
    decided = sheet_of(crew, revision)
    assert decided.changes is not None
    assert decided.changes.rows == sheet.changes.rows
    assert "you can change them" in sheet.changes.said
    assert "you can change them" not in decided.changes.said


def test_the_receipt_shows_the_decision_of_a_revision_and_not_the_answers_that_were_kept(crew: Crew) -> None:
    signed = work.an_offer(crew.owner, work.a_job(crew.owner))
    work.a_decision(crew.owner, signed, accept=2)
    labor, part = work.labor(), work.part()
    path = work.path_of(crew.owner, work.a_request(crew.owner, revised(crew, signed, labor, part)))
    phone = customer_phone()
    assert phone.get(path).content.decode().count('value="yes" checked') == 2
    said = {f"line-{line['id']}": "no" for line in (labor, part)}
    phone.post(path, {"step": "decide", "name": "Winnie Stroud", **said})
    # A choice that is sent again afterwards is not shown as the answer either.
    again = dict.fromkeys(said, "yes")
    for done in (phone.get(path), phone.post(path, {"step": "check", **again})):
        assert re.findall(r'<td class="answer">(.*?)</td>', done.content.decode()) == ["No", "No"]


@pytest.mark.parametrize(("rank", "warned"), [("safety", True), ("needed", False)])
def test_the_check_page_warns_of_a_declined_safety_repair(crew: Crew, rank: str, *, warned: bool) -> None:
    labor, part = work.labor(rank=rank), work.part(included="Two brushes\nand a spring")
    first = work.an_offer(crew.owner, work.a_job(crew.owner))
    path = work.path_of(crew.owner, work.a_request(crew.owner, revised(crew, first, labor, part)))
    keys = [f"line-{line['id']}" for line in (labor, part)]
    said = "You said no to a safety repair."
    for answers, expected in ((["no", "yes"], warned), (["yes", "no"], False)):
        check = customer_phone().post(path, {"step": "check", **dict(zip(keys, answers, strict=True))})
        assert (check.status_code, said in check.content.decode()) == (200, expected)


def test_the_message_says_whether_it_is_the_quote_or_added_work_or_a_revision(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    first = work.an_offer(crew.owner, job)
    added = work.an_offer(crew.owner, job, kind="added")
    revision = revised(crew, work.an_offer(crew.owner, work.a_job(crew.owner)), work.labor())
    for quote in (first, added, revision):
        work.a_request(crew.owner, quote, channel="email", address="w@stroud.example", name="Winnie")
    with in_shop(crew.shop_id):
        said = [filled_texts(notice).body for notice in Notice.objects.order_by("created_at", "id")]
    for text, words in zip(said, ("here is our quote", "we found more work", "our quote has changed"), strict=True):
        assert f": {words}, and it needs your OK" in text


def test_nothing_is_compared_where_no_quote_was_signed_before(crew: Crew) -> None:
    first = work.an_offer(crew.owner, work.a_job(crew.owner))
    second = revised(crew, first, work.labor())
    assert sheet_of(crew, first).changes is None
    assert sheet_of(crew, second).changes is None
    path = work.path_of(crew.owner, work.a_request(crew.owner, second))
    text = customer_phone().get(path).content.decode()
    assert (" checked" in text, "What changed" in text) == (False, False)


def test_a_later_revision_is_compared_with_the_one_that_was_signed(crew: Crew) -> None:
    signed = signed_quote(crew)
    undecided = revised(crew, signed, work.labor(hours="3"))
    last = revised(crew, undecided, work.labor())
    sheet = sheet_of(crew, last)
    assert sheet.changes is not None
    assert [(row.words, row.said, row.amount) for row in sheet.changes.rows] == [
        ("Brush set", "Taken out, was $28.00", "")
    ]
