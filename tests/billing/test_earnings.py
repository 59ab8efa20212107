"""Takings, margin and parts turned: the pure rules, and the reports over real rows."""

import csv
import io
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as drawn_by
from hypothesis import strategies as st
from pytest_django import Settings

from shopapi.billing.rules.earnings import JobMoney, by_kind, by_member, margin_percent, per_hour
from shopapi.billing.services.payments import record_payment, record_refund, reverse_payment
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.parts.services.needs import add_part_need, fit_part
from tests.factories import bills, work
from tests.factories.crews import Browser, Crew, open_crew
from tests.factories.hours import an_entry
from tests.factories.work import do, made

MORNING = datetime(2026, 12, 7, 15, tzinfo=UTC)


def job(billed: int, cost: int, clocked: dict[UUID, int] | None = None, kind: str = "mower") -> JobMoney:
    return JobMoney(uuid4(), "J-1", kind, billed, cost, 0, clocked or {})


@pytest.mark.parametrize(
    ("billed", "cost", "percent"),
    [
        # A mark-up of 50 % is a margin of 33.3 %, one of 42.857 % a margin of 30 % (common practice, no source).
        (150, 100, "33.3"),
        (142_857, 100_000, "30.0"),
        (100, 130, "-30.0"),
    ],
)
def test_margin_is_a_share_of_what_was_billed(billed: int, cost: int, percent: str) -> None:
    assert margin_percent(billed - cost, billed) == Decimal(percent)


def test_margin_of_nothing_is_no_number() -> None:
    assert margin_percent(-100, 0) is None
    assert per_hour(100, 0) is None
    assert per_hour(-10_000, 5400) == -6667


@given(
    st.lists(
        st.tuples(
            st.integers(-(10**7), 10**7),
            st.integers(0, 10**7),
            st.tuples(*[st.integers(0, 10**5)] * 3),
        ),
        max_size=5,
    )
)
@drawn_by(deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_groups_add_up_to_their_jobs(drawn: list[tuple[int, int, tuple[int, int, int]]]) -> None:
    people = [uuid4() for _ in range(3)]
    jobs = [job(billed, cost, dict(zip(people, clocked, strict=True))) for billed, cost, clocked in drawn]
    assert sum(group.margin_minor for group in by_kind(jobs)) == sum(each.margin_minor for each in jobs)
    clocked = [each for each in jobs if each.seconds]
    groups = by_member(jobs, {})
    assert sum(group.billed_minor for group in groups) == sum(each.billed_minor for each in clocked)
    assert sum(group.parts_cost_minor for group in groups) == sum(each.parts_cost_minor for each in clocked)


@pytest.fixture
def crew(db: None, settings: Settings) -> Crew:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    return open_crew()


def read(crew: Crew, name: str, **more: Any) -> dict[str, Any]:
    day = str(work.today())
    found: dict[str, Any] = Browser(crew.office).get(f"reports/{name}", **{"first": day, "last": day, **more}).json()
    return found


def pay(crew: Crew, job_id: UUID, minor: int, **more: Any) -> UUID:
    args = {"id": uuid7(), "job_id": job_id, "method": "cash", "amount_minor": minor, "paid_at": MORNING, **more}
    return made(crew.office, record_payment, **{**args, "paid_on": work.today()})


def test_takings_are_what_came_in_less_what_went_back(crew: Crew) -> None:
    job_id = bills.an_agreed_job(crew.owner)
    bills.an_issued_invoice(crew.owner, job_id)
    pay(crew, job_id, 10_000, tip_minor=500)
    mistake = pay(crew, job_id, 2_000, method="check")
    do(crew.office, reverse_payment, id=uuid7(), reverses_id=mistake, paid_at=MORNING)
    back = {"id": uuid7(), "job_id": job_id, "method": "cash", "amount_minor": 1_000, "paid_at": MORNING}
    do(crew.office, record_refund, **back, paid_on=work.today())
    report = read(crew, "takings")
    [month] = report["months"]
    assert month["month"] == str(work.today())[:7]
    assert (month["taken_minor"], month["tips_minor"]) == (9_000, 500)
    assert month["billed_minor"] + month["tax_minor"] == 16_300
    methods = {each["method"]: each["taken_minor"] for each in report["methods"]}
    assert methods == {"cash": 9_500, "check": 0}
    assert len(report["payments"]) == 4
    day = str(work.today())
    table = Browser(crew.office).get("reports/takings.csv", first=day, last=day)
    rows = list(csv.DictReader(io.StringIO(table.content.decode("utf-8-sig"))))
    assert sum(Decimal(row["amount"]) for row in rows) == Decimal("90.00")


def test_margin_takes_the_cost_of_fitted_parts_and_says_which_is_unknown(crew: Crew) -> None:
    job_id = bills.an_agreed_job(crew.owner)
    bills.an_issued_invoice(crew.owner, job_id)
    for cost, quantity in ((1_250, "2"), (None, "1")):
        need = {"id": uuid7(), "job_id": job_id, "description": "Blade", "quantity": quantity, "cost_minor": cost}
        do(crew.owner, fit_part, id=made(crew.owner, add_part_need, **need), fitted_at=MORNING)
    do(crew.owner, add_part_need, id=uuid7(), job_id=job_id, description="Belt", quantity="1", cost_minor=999)
    an_entry(crew.mechanic, MORNING, MORNING + timedelta(hours=3), job=job_id, kind="repair")
    an_entry(crew.owner, MORNING, MORNING + timedelta(hours=1), job=job_id, kind="rework")
    report = read(crew, "margin")
    [row] = report["jobs"]
    net = report["whole"]["billed_minor"]
    assert (row["parts_cost_minor"], row["unknown_costs"], row["clocked_seconds"]) == (2_500, 1, 4 * 3600)
    assert row["margin_minor"] == net - 2_500 == report["whole"]["margin_minor"]
    by_hours = {each["name"]: each["clocked_seconds"] for each in report["members"]}
    assert sorted(by_hours.values()) == [3600, 3 * 3600]
    assert sum(each["margin_minor"] for each in report["members"]) == row["margin_minor"]
    assert [each["jobs"] for each in report["kinds"]] == [1]


def test_a_credited_job_earns_nothing(crew: Crew) -> None:
    job_id = bills.an_agreed_job(crew.owner)
    bills.an_issued_credit_note(crew.owner, bills.an_issued_invoice(crew.owner, job_id))
    [row] = read(crew, "margin")["jobs"]
    assert row["billed_minor"] == 0
    assert read(crew, "takings")["months"][0]["billed_minor"] == 0


def test_parts_turned_are_counted_by_number(crew: Crew) -> None:
    for job_id in (work.a_job(crew.owner), work.a_job(crew.owner)):
        need = {"id": uuid7(), "job_id": job_id, "number": "BX-4", "description": "Belt", "quantity": "1.5"}
        need_id = made(crew.owner, add_part_need, **need, cost_minor=1_000, price_minor=1_501)
        do(crew.owner, fit_part, id=need_id, fitted_at=now())
    [part] = read(crew, "parts-turned")["parts"]
    assert (part["number"], part["fitted"], part["cost_minor"], part["price_minor"]) == ("BX-4", "3", 3_000, 4_504)
    assert len(part["jobs"]) == 2


def test_what_is_earned_is_not_for_everybody(crew: Crew) -> None:
    for name in ("takings", "margin", "parts-turned"):
        assert Browser(crew.mechanic).get(f"reports/{name}").status_code == 403
