"""Lines of one work are one question; what was agreed before is none."""

import json
import re
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pytest

from shopapi.accounts.models import Shop
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop
from shopapi.quotes.models import Approval, Line, Quote
from shopapi.quotes.queries import lines_of, offer_of, questions_on, whole_questions
from shopapi.quotes.queries.agreed import agreed
from shopapi.quotes.rules.decision import OnOffer, anomaly_in
from shopapi.quotes.rules.questions import questions_of
from shopapi.quotes.rules.schemas import Shown
from shopapi.quotes.rules.texts.en import TEXTS as ENGLISH
from shopapi.quotes.services.decisions import decide_quote
from shopapi.quotes.services.drafts import offer_quote, put_quote_line
from shopapi.quotes.services.quote_pdf import page_of
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do
from tests.quotes.test_asking import customer_phone

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "pricing" / "questions.json").read_text())["vectors"]


@pytest.mark.parametrize("vector", VECTORS, ids=lambda vector: vector["name"])
def test_vectors(vector: dict[str, Any]) -> None:
    found = [
        [
            question.key,
            question.rank,
            question.title,
            [line["id"] for line in question.lines],
            question.amount_minor,
            question.later_minor,
            list(question.apart_from),
        ]
        for question in questions_of(vector["lines"])
    ]
    assert found == vector["expect"]


A, B, C, SPENT = (uuid4() for _ in range(4))
OFFER = OnOffer(
    state="offered",
    digest="d",
    valid_until=None,
    questions=frozenset({frozenset({A, B}), frozenset({C})}),
    agreed=frozenset({SPENT}),
)


@pytest.mark.parametrize(
    ("accepted", "declined", "anomaly"),
    [
        ([A, B], [C], None),
        ([C], [A, B], None),
        ([], [A, B, C], None),
        # A phone from before works asks about each line, and about what was agreed.
        ([A, B, C, SPENT], [], None),
        ([A], [B, C], "lines_differ"),
        ([A, B, C], [SPENT], "lines_differ"),
        ([A, B], [], "lines_differ"),
        ([A, B, C], [C], "lines_differ"),
    ],
)
def test_a_work_is_taken_or_refused_whole(accepted: list[UUID], declined: list[UUID], anomaly: str | None) -> None:
    found = anomaly_in(OFFER, digest="d", decided_on=now().date(), accepted=accepted, declined=declined)
    assert found == anomaly


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def an_offer(crew: Crew, *, apart: bool | None = None) -> dict[str, UUID]:
    """An offer of labor (135.00) with its brushes (28.00), of a belt (28.00), and of 23.80 driven already.

    Half of it all is asked up front.
    """
    job = work.a_job(crew.owner)
    deposit = {"percent": "50", "of": "total", "from_total_minor": 0, "rounding_to_minor": 1}
    quote = work.a_draft(crew.owner, job, basis=work.a_basis(crew.owner) | {"deposit": deposit, "rules_version": 3})

    def put(**line: object) -> UUID:
        found: UUID = do(crew.owner, put_quote_line, quote_id=quote, **line).id
        return found

    labor = put(**work.labor())
    part = put(**work.part(belongs_to_id=labor, apart=apart))
    belt = put(**work.part(words="Deck belt", position=3))
    driven = put(
        id=uuid7(), kind="travel", rank="needed", words="Driven out", position=4, fixed_minor=2380, agreed=True
    )
    do(crew.owner, offer_quote, **work.offer_of(crew.owner, quote))
    return {"job": job, "quote": quote, "labor": labor, "part": part, "belt": belt, "driven": driven}


def decided(crew: Crew, offer: dict[str, UUID]) -> dict[str, str]:
    with in_shop(crew.shop_id):
        by_id = dict(Line.objects.filter(quote=offer["quote"]).values_list("id", "decided"))
    return {name: by_id[offer[name]] for name in ("labor", "part", "belt", "driven")}


def test_the_customers_page_asks_once_for_a_work_and_not_for_what_was_agreed(crew: Crew) -> None:
    offer = an_offer(crew)
    link = work.a_request(crew.owner, offer["quote"])
    path, phone = work.path_of(crew.owner, link), customer_phone()
    text = phone.get(path).content.decode()
    assert re.findall(r'name="line-([^"]+)" value="yes"', text) == [str(offer["labor"]), str(offer["belt"])]
    for words in ("$163.00", "Labor, 1.5\u00a0h at $90.00: $135.00", "Brush set, 2 at $14.00: $28.00", "Agreed before"):
        assert words in text
    assert "may leave the work unfinished" not in text
    # Nothing is chosen yet: what was driven is due all the same, and half of it first.
    for label, amount in (("Total", "$23.80"), ("Deposit due", "$11.90"), ("Balance", "$11.90")):
        assert re.search(rf"{label}</th><td>{re.escape(amount)}<", text)

    said = {f"line-{offer['labor']}": "yes", f"line-{offer['belt']}": "no"}
    check = phone.post(path, {"step": "check", **said}).content.decode()
    for amount in ("$186.80", "$93.40"):
        assert amount in check
    assert phone.post(path, {"step": "decide", "name": "Winnie", **said}).status_code == 303
    assert decided(crew, offer) == {"labor": "accepted", "part": "accepted", "belt": "declined", "driven": "accepted"}
    with in_shop(crew.shop_id):
        assert Approval.objects.get().accepted_total_minor == 18_680
        sheet = page_of(Quote.objects.get(id=offer["quote"]), Shop.objects.get(id=crew.shop_id))
    assert [(row.label, row.amount) for row in sheet.sums] == [
        ("Needed", "$163.00"),
        ("Agreed before", "$23.80"),
        ("Approved total", "$186.80"),
        ("Deposit due", "$93.40"),
        ("Balance", "$93.40"),
        ("Full quote was", "$214.80"),
    ]
    assert [(row.words, row.answer) for group in sheet.all_groups for row in group.lines] == [
        ("Fit new brushes", "Yes"),
        ("Deck belt", "No"),
        ("Driven out", "Agreed"),
    ]
    done = phone.get(path).content.decode()
    assert "Deposit due" in done
    assert "Driven out" in done


def test_no_to_everything_comes_to_what_was_agreed_before(crew: Crew) -> None:
    offer = an_offer(crew)
    do(crew.owner, decide_quote, **work.decision_on(crew.owner, offer["quote"], accept=0, declined_ids=asked_of(offer)))
    assert decided(crew, offer) == {"labor": "declined", "part": "declined", "belt": "declined", "driven": "accepted"}
    with in_shop(crew.shop_id):
        assert Approval.objects.get().accepted_total_minor == 2380
        assert agreed(crew.owner, offer["job"], at=now()).total_minor == 2380
        quote = Quote.objects.get(id=offer["quote"])
        document = offer_of(
            quote, parse(Shown, quote.shown), lines_of(quote), valid_until=quote.valid_until or work.today()
        )
    assert document["agreed_total_minor"] == 2380


def asked_of(offer: dict[str, UUID]) -> list[UUID]:
    return [offer[name] for name in ("labor", "part", "belt")]


def test_half_a_work_is_kept_as_evidence_and_decides_nothing(crew: Crew) -> None:
    offer = an_offer(crew)
    said: dict[str, Any] = {"accepted_ids": [offer["labor"]], "declined_ids": [offer["part"], offer["belt"]]}
    approval = do(crew.owner, decide_quote, **work.decision_on(crew.owner, offer["quote"], **said))
    assert approval.matches is False
    assert set(decided(crew, offer).values()) == {"open"}


def test_a_part_asked_apart_is_its_own_question_with_a_warning_on_page_and_pdf(crew: Crew) -> None:
    offer = an_offer(crew, apart=True)
    link = work.a_request(crew.owner, offer["quote"])
    text = customer_phone().get(work.path_of(crew.owner, link)).content.decode()
    assert len(re.findall(r'value="yes"', text)) == 3
    assert text.count("may leave the work unfinished") == 2
    assert "Belongs with “Fit new brushes”" in text
    with in_shop(crew.shop_id):
        sheet = page_of(Quote.objects.get(id=offer["quote"]), Shop.objects.get(id=crew.shop_id))
        lines = lines_of(Quote.objects.get(id=offer["quote"]))
    assert [bool(row.apart) for group in sheet.groups for row in group.lines] == [True, True, False]
    assert len(questions_on(lines)) == 3
    said: dict[str, Any] = {"accepted_ids": [offer["labor"]], "declined_ids": [offer["part"], offer["belt"]]}
    assert do(crew.owner, decide_quote, **work.decision_on(crew.owner, offer["quote"], **said)).matches is True


def test_an_app_from_before_works_saves_a_line_and_leaves_them_as_they_are(crew: Crew) -> None:
    quote = work.a_draft(crew.owner, work.a_job(crew.owner))
    labor = do(crew.owner, put_quote_line, quote_id=quote, **work.labor()).id
    part: dict[str, Any] = work.part(belongs_to_id=labor, apart=True)
    do(crew.owner, put_quote_line, quote_id=quote, **part)
    former = {name: value for name, value in part.items() if name not in ("belongs_to_id", "apart")}
    do(crew.owner, put_quote_line, quote_id=quote, **former | {"words": "Brushes"})
    with in_shop(crew.shop_id):
        line = Line.objects.get(id=part["id"])
        assert (line.words, line.belongs_to_id, line.apart) == ("Brushes", labor, True)
        assert whole_questions(lines_of(line.quote), [labor]) == [labor]
    do(crew.owner, put_quote_line, quote_id=quote, **part | {"belongs_to_id": None, "apart": None})
    with in_shop(crew.shop_id):
        assert Line.objects.get(id=part["id"]).belongs_to_id is None


def test_the_pdf_names_the_rule_of_a_credited_fee(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    basis = work.a_basis(crew.owner) | {"credit_diagnosis": True, "diagnosis_fee_minor": 6500}
    for version, named in ((2, False), (3, True)):
        quote = work.a_draft(crew.owner, job, basis=basis | {"rules_version": version})
        fee = {"kind": "fee", "work": "diagnosis", "rank": "needed", "words": "Diagnosis", "position": 5}
        do(crew.owner, put_quote_line, id=uuid7(), quote_id=quote, **fee)
        do(crew.owner, put_quote_line, quote_id=quote, **work.labor())
        do(crew.owner, offer_quote, **work.offer_of(crew.owner, quote))
        with in_shop(crew.shop_id):
            sheet = page_of(Quote.objects.get(id=quote), Shop.objects.get(id=crew.shop_id))
        assert (ENGLISH["credited"] in sheet.cautions) is named
