"""Reports over real rows: the shop's days, who may see whose hours, excluded entries, CSV."""

import csv
import io
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shopapi.accounts.models import Member, Shop
from shopapi.core.tenancy import in_shop
from shopapi.labor.rules.csv_table import sheet
from tests.factories import work
from tests.factories.crews import Browser, Crew, member_of, open_crew
from tests.factories.hours import an_entry

# Sign-in and tenancy: session, user, membership, setting the shop. Then the shop, the spans that count, the members'
# names, the excluded entries.
BUDGET = 4 + 4


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew(zone="America/New_York")


@pytest.fixture
def mechanic(crew: Crew) -> Browser:
    return Browser(crew.mechanic)


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def kinds(row: dict[str, Any]) -> dict[str, int]:
    return {part["kind"]: part["seconds"] for part in row["kinds"]}


def test_a_week_is_the_shops_and_nights_in_which_clocks_change_are_as_long_as_they_were(crew: Crew) -> None:
    with in_shop(crew.shop_id):
        Shop.objects.filter(id=crew.shop_id).update(week_start="sunday")
    # 22:00 to 06:00 in New York: 7 hours in March, 9 in November (zone database).
    an_entry(crew.mechanic, at("2026-03-08T03:00"), at("2026-03-08T10:00"))
    an_entry(crew.mechanic, at("2026-11-01T02:00"), at("2026-11-01T11:00"))
    browser = Browser(crew.owner)
    march = browser.get("reports/hours", day="2026-03-08").json()
    assert (march["first"], march["last"]) == ("2026-03-08", "2026-03-14")
    assert [(day["on"], day["seconds"]) for day in march["days"]] == [("2026-03-08", 5 * 3600)]
    before = browser.get("reports/hours", day="2026-03-07").json()
    assert [(day["on"], day["seconds"]) for day in before["days"]] == [("2026-03-07", 2 * 3600)]
    night = browser.get("reports/hours", span="day", day="2026-11-01").json()
    assert [(day["on"], day["seconds"]) for day in night["days"]] == [("2026-11-01", 7 * 3600)]
    assert night["members"][0]["over_seconds"] is None


def test_what_runs_or_is_in_dispute_stands_apart_and_is_in_no_sum(crew: Crew) -> None:
    job = work.a_job(crew.owner)
    an_entry(crew.mechanic, at("2026-11-23T14:00"), at("2026-11-23T17:00"), job=job, kind="repair")
    an_entry(crew.mechanic, at("2026-11-23T17:00"), at("2026-11-23T18:00"), job=job, kind="rework")
    an_entry(crew.mechanic, at("2026-11-24T14:00"), at("2026-11-24T15:00"), state="disputed")
    an_entry(crew.mechanic, at("2026-11-24T10:00"), at("2026-11-24T12:00"), state="replaced")
    an_entry(crew.mechanic, at("2026-11-25T14:00"), None)
    report = Browser(crew.owner).get("reports/hours", day="2026-11-25").json()
    assert kinds(report["all"]) == {"repair": 3 * 3600, "rework": 3600}
    assert report["all"]["rework_per_hundred"] == "25"
    assert [(one["state"], one["kind"]) for one in report["apart"]] == [("disputed", "shop"), ("open", "shop")]


def test_a_member_sees_their_own_hours_and_the_office_everybodys(crew: Crew, mechanic: Browser) -> None:
    job = work.a_job(crew.owner)
    for actor in (crew.mechanic, crew.owner):
        an_entry(actor, at("2026-11-23T14:00"), at("2026-11-23T15:00"), job=job, kind="repair")
    own = str(crew.mechanic.member_id)
    assert [row["member_id"] for row in mechanic.get("reports/hours", day="2026-11-23").json()["members"]] == [own]
    for path in ("reports/hours", "reports/rounding"):
        refused = mechanic.get(path, member_id=str(crew.owner.member_id))
        assert (refused.status_code, refused.json()["code"]) == (403, "forbidden"), path
    everybody = Browser(crew.office).get("reports/hours", day="2026-11-23").json()
    assert len(everybody["members"]) == 2
    assert everybody["all"]["seconds"] == 7200


def test_another_shops_hours_and_members_are_unknown(crew: Crew) -> None:
    other = open_crew("Other Yard")
    an_entry(other.owner, at("2026-11-23T14:00"), at("2026-11-23T15:00"))
    browser = Browser(crew.owner)
    assert browser.get("reports/hours", day="2026-11-23").json()["all"]["seconds"] == 0
    unknown = browser.get("reports/hours", member_id=str(other.owner.member_id))
    assert (unknown.status_code, unknown.json()["fields"][0]["field"]) == (404, "member_id")


def test_a_report_costs_the_same_number_of_queries_with_one_entry_and_with_many(crew: Crew) -> None:
    browser = Browser(crew.owner)
    for count in (1, 20):
        for hour in range(count):
            began = at("2026-11-23T05:00") + timedelta(hours=hour, minutes=count)
            an_entry(crew.mechanic, began, began + timedelta(minutes=1))
        for path, day in (("reports/hours", "day"), ("reports/rounding", "first")):
            with CaptureQueriesContext(connection) as ran:
                answer = browser.get(path, **{day: "2026-11-23"})
            asked = [query["sql"] for query in ran if "SAVEPOINT" not in query["sql"]]
            assert answer.status_code == 200
            assert len(asked) == BUDGET, asked


def test_rounding_warns_of_whom_it_would_take_time_from(crew: Crew) -> None:
    for day in (23, 24):
        an_entry(crew.mechanic, at(f"2026-11-{day}T13:00"), at(f"2026-11-{day}T17:07"))
    report = Browser(crew.owner).get("reports/rounding", first="2026-11-23", last="2026-11-29").json()
    (row,) = report["members"]
    assert [(step["minutes"], step["bias"], step["against"]) for step in row["steps"]] == [
        (5, -240, True),
        (6, -120, True),
        (15, -840, True),
    ]
    assert row["name"] in report["warning"]


def test_a_week_of_46_hours_comes_to_what_the_regulation_says(crew: Crew) -> None:
    """29 CFR 778.110: $12 an hour, 46 hours: $588; with a bonus of $46, $637."""
    for day, hours in (("23", 10), ("24", 10), ("25", 10), ("26", 8), ("27", 8)):
        began = at(f"2026-11-{day}T13:00")
        an_entry(crew.mechanic, began, began + timedelta(hours=hours))
    browser = Browser(crew.owner)
    asked = {"member_id": str(crew.mechanic.member_id), "day": "2026-11-25", "rate_minor": 1200}
    plain = browser.get("reports/overtime", **asked).json()
    assert (plain["over_seconds"], plain["straight_minor"], plain["total_minor"]) == (6 * 3600, 55200, 58800)
    bonus = browser.get("reports/overtime", **asked, bonus_minor=4600).json()
    assert (bonus["regular_rate_minor"], bonus["total_minor"]) == ("1300", 63700)
    refused = browser.get("reports/overtime", **asked, rates="golf:1")
    assert (refused.status_code, refused.json()["fields"][0]["field"]) == (400, "rates")


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ({"first": "2026-11-23", "last": "2026-11-22"}, "last"),
        ({"first": "2024-01-01", "last": "2026-01-01"}, "last"),
        ({"first": "soon"}, "first"),
        ({"first": "9999-12-31"}, "first"),
        ({"last": "0001-01-01"}, "last"),
        ({"week": "1"}, "week"),
    ],
)
def test_a_period_that_is_none_names_the_field(crew: Crew, query: dict[str, str], field: str) -> None:
    refused = Browser(crew.owner).get("reports/rounding", **query)
    assert (refused.status_code, refused.json()["fields"][0]["field"]) == (400, field)


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
@pytest.mark.parametrize("report", ["hours", "hours.csv", "overtime"])
def test_a_day_that_no_week_lies_around_is_refused(crew: Crew, report: str, day: str) -> None:
    more = {"member_id": str(crew.mechanic.member_id), "rate_minor": "100"} if report == "overtime" else {}
    refused = Browser(crew.owner).get(f"reports/{report}", day=day, **more)
    assert (refused.status_code, refused.json()["fields"][0]["field"]) == (400, "day")


@pytest.mark.parametrize("begins", ["=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20", " ="])
def test_no_text_of_a_table_can_begin_a_formula(crew: Crew, begins: str) -> None:
    """The signs that spreadsheets take for the start of a formula (OWASP, CSV injection; full-width ones too)."""
    name = f'{begins}HYPERLINK("x"),\n"y'
    with in_shop(crew.shop_id):
        Member.objects.filter(id=member_of(crew.mechanic)).update(name=name)
    an_entry(crew.mechanic, at("2026-11-23T14:00"), at("2026-11-23T15:30"))
    # Ten in the evening of the day before, in New York.
    an_entry(crew.mechanic, at("2026-11-24T03:00"), at("2026-11-24T04:00"), state="disputed")
    answer = Browser(crew.owner).get("reports/hours.csv", day="2026-11-23")
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert answer["Content-Disposition"] == 'attachment; filename="hours-2026-11-23-2026-11-29.csv"'
    table = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")))
    assert table[1:] == [
        ["2026-11-23", f"'{name}", "shop", "1.5", "5400", "counts"],
        ["2026-11-23", f"'{name}", "shop", "", "", "disputed"],
    ]


def test_numbers_of_a_table_stay_numbers() -> None:
    assert sheet(["h", "name"], [[-0.5, None]]).decode("utf-8-sig") == "h,name\r\n-0.5,\r\n"
