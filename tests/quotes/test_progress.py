"""Quoted against clocked: the vectors of both twins, and the report over real rows."""

import csv
import io
import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pytest_django import Settings

from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.quotes.models import Line, Quote
from shopapi.quotes.rules.progress import ClockedWork, QuotedLabor, progress_of
from shopapi.quotes.services.drafts import offer_quote, put_quote_line
from tests.factories import work
from tests.factories.crews import Browser, Crew, open_crew
from tests.factories.hours import an_entry, finish

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "labor" / "progress.json").read_text())
MONDAY = datetime(2026, 11, 23, 15, tzinfo=UTC)
# Signing in and the shop to see (4); the shop, the spans, the jobs, which revisions are pending, their lines, their
# sums, their last moments, the members' names, what stands apart.
BUDGET = 4 + 9


@pytest.mark.parametrize("case", VECTORS, ids=lambda case: case["says"])
def test_time_finds_its_line(case: dict[str, Any]) -> None:
    lines = [QuotedLabor(**{**line, "id": UUID(line["id"])}) for line in case["lines"]]
    clocked = [
        ClockedWork(part["line_id"] and UUID(part["line_id"]), part["operation"], part["seconds"])
        for part in case["clocked"]
    ]
    successors = {UUID(line): UUID(by) for line, by in case.get("successors", {}).items()}
    found = progress_of(lines, clocked, successors)
    assert {
        "lines": [[str(each.line.id), each.clocked_seconds] for each in found.lines],
        "elsewhere": found.elsewhere_seconds,
        "quoted": found.quoted_seconds,
        "billed": found.billed_seconds,
        "clocked": found.clocked_seconds,
    } == case["is"]


@pytest.fixture
def crew(db: None, settings: Settings) -> Crew:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    return open_crew()


def decided_job(crew: Crew, **more: object) -> tuple[UUID, UUID]:
    """A job whose customer said yes to an hour and a half of labor, and the line of it."""
    job = work.a_job(crew.owner)
    quote = work.an_offer(crew.owner, job)
    work.a_decision(crew.owner, quote)
    with in_shop(crew.shop_id):
        line = Line.objects.get(quote=quote, kind="labor")
    return job, line.id


def spend(crew: Crew, job: UUID | None, minutes: int, *, after: float = 0, **more: Any) -> None:
    began = MONDAY + timedelta(hours=after)
    fields: dict[str, Any] = {"kind": "repair", **more}
    an_entry(crew.mechanic, began, began + timedelta(minutes=minutes), job=job, **fields)


def report(crew: Crew) -> dict[str, Any]:
    found: dict[str, Any] = Browser(crew.owner).get("reports/quoted", first="2026-11-23", last="2026-11-29").json()
    return found


def test_a_job_stands_beside_its_quote_line_by_line(crew: Crew) -> None:
    job, line = decided_job(crew)
    spend(crew, job, 60, line_id=line)
    spend(crew, job, 20, after=2, kind="rework")
    spend(crew, job, 15, after=3, kind="travel")
    spend(crew, job, 60, after=4, state="disputed")
    found = report(crew)
    (row,) = found["jobs"]
    assert (row["quoted_seconds"], row["billed_seconds"], row["clocked_seconds"]) == (5400, 5400, 4800)
    assert [(each["line_id"], each["clocked_seconds"]) for each in row["lines"]] == [(str(line), 3600)]
    assert row["elsewhere_seconds"] == 1200
    assert [one["state"] for one in found["apart"]] == ["disputed"]


def test_efficiency_and_recovery_are_those_of_the_trade(crew: Crew) -> None:
    """1.5 h billed in 80 min is 112.5 %; 1.5 h billed of 2 h paid is 75 % (common practice, no published source)."""
    job, line = decided_job(crew)
    spend(crew, job, 80, line_id=line)
    spend(crew, None, 40, after=2, kind="shop")
    assert report(crew)["efficiency_percent"] is None
    finish(crew.owner, job)
    found = report(crew)
    assert (found["finished"], found["efficiency_percent"], found["recovery_percent"]) == (1, "112.5", "75")


def test_a_finished_job_counts_in_the_week_of_its_last_moment(crew: Crew) -> None:
    job, line = decided_job(crew)
    spend(crew, job, 60, line_id=line)
    spend(crew, job, 60, after=7 * 24, line_id=line)
    finish(crew.owner, job)
    assert (report(crew)["finished"], report(crew)["jobs"][0]["clocked_seconds"]) == (0, 7200)


def test_a_mechanic_is_not_told_what_others_are_paid_for(crew: Crew) -> None:
    job, line = decided_job(crew)
    spend(crew, job, 60, line_id=line)
    an_entry(crew.owner, MONDAY, None)
    found = Browser(crew.mechanic).get("reports/quoted", first="2026-11-23").json()
    assert (found["paid_seconds"], found["recovery_percent"], found["apart"]) == (None, None, [])
    assert len(found["jobs"]) == 1


def test_another_shops_jobs_are_not_there(crew: Crew) -> None:
    other = open_crew("Other Yard")
    job, line = decided_job(other)
    spend(other, job, 60, line_id=line)
    assert report(crew)["jobs"] == []


def test_it_costs_the_same_number_of_queries_with_one_job_and_with_many(crew: Crew) -> None:
    browser = Browser(crew.owner)
    for count in (1, 3):
        for each in range(count):
            job, line = decided_job(crew)
            spend(crew, job, 10, after=count * 10 + each, line_id=line)
        with CaptureQueriesContext(connection) as ran:
            assert browser.get("reports/quoted", first="2026-11-23").status_code == 200
        asked = [query["sql"] for query in ran if "SAVEPOINT" not in query["sql"]]
        assert len(asked) == BUDGET, asked


def revise(crew: Crew, job: UUID) -> UUID:
    """Signs a revision to two hours of the job's quote; the line of it."""
    with in_shop(crew.shop_id):
        before = Quote.objects.get(job=job)
    quote = work.a_draft(crew.owner, job, replaces_id=before.id)
    work.do(crew.owner, put_quote_line, quote_id=quote, **work.labor(hours="2"))
    work.do(crew.owner, offer_quote, **work.offer_of(crew.owner, quote))
    work.a_decision(crew.owner, quote)
    with in_shop(crew.shop_id):
        return Line.objects.get(quote=quote).id


def test_time_on_a_replaced_quote_counts_for_the_line_of_its_revision(crew: Crew) -> None:
    """1 h on the first line and 20 min on the one that replaced it: 4800 s of two hours."""
    browser = Browser(crew.owner)
    queries = []
    for hours in ([0], [2, 4]):
        for after in hours:
            job, first = decided_job(crew)
            spend(crew, job, 60, after=after, line_id=first)
            spend(crew, job, 20, after=after + 1, line_id=revise(crew, job))
        with CaptureQueriesContext(connection) as ran:
            found = browser.get("reports/quoted", first="2026-11-23", last="2026-11-29").json()
        queries.append(len([query for query in ran if "SAVEPOINT" not in query["sql"]]))
    assert [
        (row["quoted_seconds"], [each["clocked_seconds"] for each in row["lines"]], row["elsewhere_seconds"])
        for row in found["jobs"]
    ] == [(7200, [4800], 0)] * 3
    # The quotes, the lines and the approvals of all jobs besides.
    assert queries == [BUDGET + 3] * 2


def test_the_table_holds_each_line_and_what_has_none(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    quote = work.a_draft(crew.owner, job)
    work.do(crew.owner, put_quote_line, quote_id=quote, **work.labor(id=uuid7(), words="=1+1 fit brushes"))
    work.do(crew.owner, offer_quote, **work.offer_of(crew.owner, quote))
    spend(crew, job, 30)
    answer = Browser(crew.owner).get("reports/quoted.csv", first="2026-11-23")
    table = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")))
    assert [row[3:] for row in table[1:]] == [
        ["'=1+1 fit brushes", "", "open", "1.5", "0.0"],
        ["for no line", "", "", "", "0.5"],
    ]
