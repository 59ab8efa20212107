"""Comebacks and quoted against billed: the pure rules, and the reports against plain SQL and fractions.

The share and the cost of comebacks are common practice, no source; worked examples are beside the checks.
"""

import csv
import io
import json
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import connection
from hypothesis import HealthCheck, given
from hypothesis import settings as drawn_by
from hypothesis import strategies as st
from pytest_django import Settings

from shopapi.billing.models import BillingSettings
from shopapi.billing.rules.comebacks import Comeback, ComebackCost, FinishedJob, by_member, by_work, per_hundred
from shopapi.billing.services.settings import edit_billing_settings
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Job
from shopapi.parts.services.needs import add_part_need, fit_part
from tests.factories import bills, work
from tests.factories.crews import Browser, Crew, open_crew
from tests.factories.hours import an_entry, finish
from tests.factories.work import do, made

COSTS = json.loads((Path(__file__).parents[2] / "fixtures" / "billing" / "comeback_costs.json").read_text("utf-8"))
MORNING = datetime(2026, 12, 7, 15, tzinfo=UTC)


@pytest.mark.parametrize("case", COSTS)
def test_cost_of_a_comeback(case: dict[str, Any]) -> None:
    """The first: 1.5 h at 40.00 an hour is 60.00, with parts of 12.50 it is 72.50 (worked by hand)."""
    cost = ComebackCost(case["seconds"], case["hour_minor"], case["parts_minor"], case["billed_minor"])
    assert {"labor": cost.labor_minor, "unbilled": cost.unbilled_minor} == case["expect"]


def test_comebacks_per_hundred_jobs() -> None:
    """3 of 120 jobs are 2.5 in a hundred (worked by hand); more comebacks than jobs is above a hundred."""
    assert per_hundred(3, 120) == Decimal("2.5")
    assert per_hundred(2, 1) == Decimal("200.0")
    assert per_hundred(2, 0) is None


PEOPLE = [uuid4() for _ in range(3)]
WORKS = ("Carburetor clean", "carburetor clean ", "Deck belt", "", "Blade change")


@st.composite
def finished_jobs(draw: st.DrawFn) -> FinishedJob:
    seconds = draw(st.lists(st.integers(0, 10**5), min_size=3, max_size=3))
    clocked = {person: each for person, each in zip(PEOPLE, seconds, strict=True) if each}
    return FinishedJob(draw(st.lists(st.sampled_from(WORKS), max_size=3)), clocked)


@given(st.lists(st.tuples(finished_jobs(), st.integers(0, 10**7)), max_size=6), st.lists(finished_jobs(), max_size=4))
@drawn_by(deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_shares_of_the_groups_add_up_to_the_cost(
    drawn: list[tuple[FinishedJob, int]], finished: list[FinishedJob]
) -> None:
    comebacks = [Comeback(uuid4(), first, minor) for first, minor in drawn]
    works = by_work(comebacks, finished)
    assert sum(group.unbilled_cost_minor or 0 for group in works) == sum(minor for _, minor in drawn)
    members = by_member(comebacks, finished, {})
    assert sum(group.unbilled_cost_minor or 0 for group in members) == sum(m for first, m in drawn if first.clocked)
    for group in members:
        parts = [
            Fraction(minor * first.clocked.get(group.member_id or uuid4(), 0), sum(first.clocked.values()))
            for first, minor in drawn
            if first.clocked
        ]
        exact = sum(parts, Fraction())
        # By largest remainder each share is within a cent of its fraction.
        assert abs((group.unbilled_cost_minor or 0) - exact) <= group.comebacks
    names = [group.name for group in works]
    assert len({name.lower() for name in names}) == len(names), "a work is listed once, whatever its capitals"


@pytest.fixture
def crew(db: None, settings: Settings) -> Crew:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    return open_crew()


def read(actor: Any, name: str) -> dict[str, Any]:
    day = work.today()
    answer = Browser(actor).get(f"reports/{name}", first=str(day), last=str(day))
    assert answer.status_code == 200, answer.content
    found: dict[str, Any] = answer.json()
    return found


def table(actor: Any, name: str) -> list[dict[str, str]]:
    day = str(work.today())
    answer = Browser(actor).get(f"reports/{name}.csv", first=day, last=day)
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))


def set_terms(crew: Crew, **fields: Any) -> None:
    with in_shop(crew.shop_id):
        stored = BillingSettings.objects.get(id=crew.shop_id)
        base = {name: getattr(stored, name) for name in fields}
    do(crew.owner, edit_billing_settings, id=crew.shop_id, base=base, set=fields)


def at_noon() -> datetime:
    """An instant of today in the shop's zone, in the past of the test's clock."""
    return now() - timedelta(hours=1)


def a_comeback(crew: Crew) -> tuple[UUID, UUID]:
    """A finished and billed job of 163.00, and its comeback of an hour and a half with two parts at 6.25 each."""
    set_terms(crew, hour_cost_minor=4_000)
    first = bills.an_agreed_job(crew.owner)
    lines = [work.labor(warranty_days=90), work.part()]
    bills.an_issued_invoice(crew.owner, first, lines=lines)
    noon = at_noon()
    for actor, hours in ((crew.mechanic, 3), (crew.owner, 1)):
        an_entry(actor, noon - timedelta(hours=hours + 5), noon - timedelta(hours=5), job=first, kind="repair")
    finish(crew.owner, first)
    with in_shop(crew.shop_id):
        row = Job.objects.get(id=first)
    same = {"customer_id": row.customer_id, "machine_id": row.machine_id}
    back = work.a_job(crew.mechanic, **same, comeback_of_id=first)
    an_entry(crew.mechanic, noon - timedelta(hours=2), noon - timedelta(hours=1), job=back, kind="rework")
    an_entry(crew.mechanic, noon - timedelta(hours=1), noon - timedelta(minutes=30), job=back, kind="travel")
    need = {"id": uuid7(), "job_id": back, "description": "Blade", "quantity": "2", "cost_minor": 625}
    do(crew.owner, fit_part, id=made(crew.owner, add_part_need, **need), fitted_at=now())
    unpriced = {"id": uuid7(), "job_id": back, "description": "Clip", "quantity": "1"}
    do(crew.owner, fit_part, id=made(crew.owner, add_part_need, **unpriced), fitted_at=now())
    return first, back


BY_SQL = """
WITH hours AS (
    SELECT job_id, sum(extract(epoch FROM ended_at - started_at)) AS seconds
    FROM labor_timeentry WHERE state = 'closed' GROUP BY job_id
), parts AS (
    SELECT job_id, sum(round(quantity * cost_minor)) AS minor
    FROM parts_partneed WHERE state = 'fitted' AND cost_minor IS NOT NULL GROUP BY job_id
)
SELECT j.id, h.seconds::int, round(h.seconds * s.hour_cost_minor / 3600)::int, p.minor::int
FROM jobs_job j
    JOIN hours h ON h.job_id = j.id JOIN parts p ON p.job_id = j.id
    JOIN billing_billingsettings s ON s.shop_id = j.shop_id
WHERE j.comeback_of_id IS NOT NULL AND j.stage <> 'cancelled'
"""


def test_a_comeback_is_counted_and_costs_what_plain_sql_finds(crew: Crew) -> None:
    first, back = a_comeback(crew)
    report = read(crew.owner, "comebacks")
    (row,) = report["comebacks"]
    assert (row["job_id"], row["first_id"], row["warranty"]) == (str(back), str(first), "covered")
    with in_shop(crew.shop_id), connection.cursor() as cursor:
        cursor.execute(BY_SQL)
        assert cursor.fetchall() == [(back, row["clocked_seconds"], row["labor_cost_minor"], row["parts_cost_minor"])]
    # 1.5 h at 40.00 and 2 parts at 6.25: 60.00 and 12.50 (worked by hand); the clip has no known cost.
    assert (row["labor_cost_minor"], row["parts_cost_minor"], row["unknown_costs"]) == (6_000, 1_250, 1)
    assert row["unbilled_cost_minor"] == 7_250
    whole = report["whole"]
    assert (whole["comebacks"], whole["finished"], whole["percent"]) == (1, 1, "100")
    assert whole["jobs"] == [str(back)]
    members = {each["member_id"]: each for each in report["members"]}
    # The mechanic worked 3 of the 4 hours on the first job: 54.375 and 18.125, and one of the two gets the cent.
    shares = [members[str(each.member_id)]["unbilled_cost_minor"] for each in (crew.mechanic, crew.owner)]
    assert shares in ([5_438, 1_812], [5_437, 1_813])
    assert [each["jobs"] for each in report["works"]] == [[str(back)]]


def test_a_cancelled_or_unlinked_job_is_no_comeback(crew: Crew) -> None:
    _, back = a_comeback(crew)
    with in_shop(crew.shop_id):
        Job.objects.filter(id=back).update(stage="cancelled")
    report = read(crew.owner, "comebacks")
    assert report["comebacks"] == []
    assert (report["whole"]["comebacks"], report["whole"]["percent"]) == (0, "0")


def test_costs_are_seen_by_those_who_may(crew: Crew) -> None:
    a_comeback(crew)
    report = read(crew.mechanic, "comebacks")
    (row,) = report["comebacks"]
    assert {name: row[name] for name in row if "_cost_" in name} == dict.fromkeys(
        ("labor_cost_minor", "parts_cost_minor", "unbilled_cost_minor")
    )
    assert report["whole"]["unbilled_cost_minor"] is None
    assert row["clocked_seconds"] == 5400
    # A mechanic sees their own figures, not those of others.
    assert [each["member_id"] for each in report["members"]] == [str(crew.mechanic.member_id)]
    (line,) = table(crew.mechanic, "comebacks")
    assert (line["cost of labor"], line["cost of parts"], line["cost not billed"]) == ("", "", "")
    (line,) = table(crew.owner, "comebacks")
    assert (line["cost of labor"], line["cost of parts"], line["cost not billed"]) == ("60.00", "12.50", "72.50")
    settings = Browser(crew.mechanic).get(f"billing-settings/{crew.shop_id}").json()
    assert settings["hour_cost_minor"] is None
    assert Browser(crew.owner).get(f"billing-settings/{crew.shop_id}").json()["hour_cost_minor"] == 4_000


def test_without_the_cost_of_an_hour_the_rest_is_said(crew: Crew) -> None:
    a_comeback(crew)
    set_terms(crew, hour_cost_minor=None)
    (row,) = read(crew.owner, "comebacks")["comebacks"]
    assert (row["labor_cost_minor"], row["parts_cost_minor"], row["unbilled_cost_minor"]) == (None, 1_250, None)


def test_a_credited_line_is_no_warranty_of_the_first_job(crew: Crew) -> None:
    first, _ = a_comeback(crew)
    invoice = UUID(read(crew.owner, "quoted-billed")["jobs"][0]["invoices"][0]["invoice_id"])
    bills.an_issued_credit_note(crew.owner, invoice)
    (row,) = read(crew.owner, "comebacks")["comebacks"]
    assert (row["first_id"], row["warranty"]) == (str(first), "none")


def test_quoted_against_billed_with_the_rows_behind_it(crew: Crew) -> None:
    """1.5 h at 90.00 and two parts at 14.00 are 163.00; the other figures are worked by hand beside each check."""
    job_id = bills.an_agreed_job(crew.owner)
    invoice = bills.an_issued_invoice(crew.owner, job_id)
    an_entry(crew.mechanic, MORNING, MORNING + timedelta(hours=2), job=job_id, kind="repair")
    noon = at_noon()
    an_entry(crew.owner, noon - timedelta(hours=1), noon)
    report = read(crew.owner, "quoted-billed")
    (row,) = report["jobs"]
    assert (row["quoted_minor"], row["billed_minor"], row["difference_minor"]) == (16_300, 16_300, 0)
    # 1.5 h were quoted and billed, 2 h clocked: 75 %.
    assert (row["quoted_seconds"], row["billed_seconds"], row["clocked_seconds"]) == (5400, 5400, 7200)
    assert row["efficiency_percent"] == "75"
    assert [each["invoice_id"] for each in row["invoices"]] == [str(invoice)]
    assert [each["quoted_minor"] for each in row["quotes"]] == [16_300]
    whole = report["whole"]
    # In the period one hour was clocked, for the shop: recovery is 1.5 h of 1 h.
    assert (whole["paid_seconds"], whole["recovery_percent"]) == (3600, "150")
    bills.an_issued_credit_note(crew.owner, invoice)
    (row,) = read(crew.owner, "quoted-billed")["jobs"]
    assert (row["billed_minor"], row["difference_minor"], row["billed_seconds"]) == (0, -16_300, 0)
    assert [each["billed_minor"] for each in row["invoices"]] == [16_300, -16_300]
    (line,) = table(crew.owner, "quoted-billed")
    assert (line["quoted"], line["billed"], line["difference"]) == ("163.00", "0.00", "-163.00")


def test_amounts_billed_are_what_plain_sql_finds(crew: Crew) -> None:
    for _ in range(2):
        bills.an_issued_invoice(crew.owner, bills.an_agreed_job(crew.owner))
    report = read(crew.owner, "quoted-billed")
    with in_shop(crew.shop_id), connection.cursor() as cursor:
        cursor.execute(
            "SELECT sum((totals->>'net_minor')::int), (SELECT sum(hours) FROM billing_invoiceline)"
            " FROM billing_invoice WHERE state = 'issued'"
        )
        billed, hours = cursor.fetchone()
    assert (report["whole"]["billed_minor"], report["whole"]["billed_seconds"]) == (billed, int(hours * 3600))
    assert report["whole"]["jobs"] == 2


def test_quoted_against_billed_is_for_those_who_keep_the_books(crew: Crew) -> None:
    assert Browser(crew.mechanic).get("reports/quoted-billed").status_code == 403
    assert Browser(crew.office).get("reports/quoted-billed").status_code == 200
