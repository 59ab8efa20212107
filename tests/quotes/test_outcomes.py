"""What became of quotes: the pure counts, and the report over real rows."""

import csv
import io
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from pytest_django import Settings

from shopapi.jobs.rules import FindingRank
from shopapi.quotes.rules.outcomes import OutcomeQuestion, count_outcomes, median_minutes
from tests.factories import work
from tests.factories.crews import Browser, Crew, open_crew


def question(amount: int, outcome: Any, rank: FindingRank = FindingRank.NEEDED) -> OutcomeQuestion:
    return OutcomeQuestion(uuid4(), "first", rank, amount, outcome)


def test_questions_are_counted_by_rank_and_amount_and_a_bound_belongs_below_it() -> None:
    found = count_outcomes(
        [
            question(10_000, "accepted"),
            question(10_001, "declined", FindingRank.SAFETY),
            question(200_000, "unanswered"),
        ],
        2,
    )
    assert [(each.group, each.value, each.accepted, each.declined_minor, each.unanswered) for each in found] == [
        ("kind", "first", 1, 10_001, 1),
        ("rank", "safety", 0, 10_001, 0),
        ("rank", "needed", 1, 0, 1),
        ("amount", "10000", 1, 0, 0),
        ("amount", "25000", 0, 10_001, 0),
        ("amount", "", 0, 0, 1),
    ]


def test_bounds_follow_the_digits_of_the_currency() -> None:
    # A yen is about a hundredth of a unit that has decimals: 100 times as many of it.
    assert [each.value for each in count_outcomes([question(10_000, "accepted")], 0)][-1] == "10000"
    assert [each.value for each in count_outcomes([question(100_000, "accepted")], 3)][-1] == "100000"


def test_the_median_wait_leaves_out_what_nobody_answered() -> None:
    began = datetime(2026, 11, 23, 12, tzinfo=UTC)
    waits = [5, 90, 10]
    answered = [(began, began + timedelta(minutes=each)) for each in waits]
    assert median_minutes([*answered, (began, None)]) == 10
    assert median_minutes([(began, None)]) is None


@pytest.fixture
def crew(db: None, settings: Settings) -> Crew:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    return open_crew()


def test_the_report_shows_what_was_accepted_and_declined_with_the_quotes_behind_it(crew: Crew) -> None:
    accepted, declined, still_open = (work.an_offer(crew.owner, work.a_job(crew.owner)) for _ in range(3))
    work.a_decision(crew.owner, accepted)
    work.a_decision(crew.owner, declined, accept=0)
    browser = Browser(crew.mechanic)
    day = str(work.today())
    report = browser.get("reports/quote-outcomes", first=day, last=day).json()
    assert report["open"] == 1
    by_id = {each["quote_id"]: each for each in report["quotes"]}
    assert str(still_open) not in by_id
    assert by_id[str(accepted)]["accepted_minor"] > 0 == by_id[str(accepted)]["declined_minor"]
    assert by_id[str(declined)]["declined_minor"] == by_id[str(accepted)]["accepted_minor"]
    [kind] = [each for each in report["counts"] if each["group"] == "kind"]
    assert kind["accepted_minor"] == by_id[str(accepted)]["accepted_minor"]
    assert kind["declined"] == kind["accepted"] > 0
    table = browser.get("reports/quote-outcomes.csv", first=day, last=day)
    rows = list(csv.DictReader(io.StringIO(table.content.decode("utf-8-sig"))))
    assert min(row["accepted"] for row in rows) == "0.00"
    assert {row["quote"] for row in rows} == {each["number"] for each in report["quotes"]}


def test_a_period_without_quotes_is_empty(crew: Crew) -> None:
    report = Browser(crew.owner).get("reports/quote-outcomes", first="2025-01-01", last="2025-01-31").json()
    assert report["counts"] == report["quotes"] == []
    assert report["median_minutes"] is None
