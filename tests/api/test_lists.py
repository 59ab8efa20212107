"""Lists cost the same number of queries however long they are, and give each row once, page by page."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.api.conftest import Busy, open_busy
from tests.factories import work
from tests.factories.crews import Browser

# Signing in and looking for the shop: session, user, membership, the shop to see.
BEFORE = 4
BUDGETS = {
    "approval-links": BEFORE + 1,
    "approvals": BEFORE + 1,
    "attachments": BEFORE + 1,
    "audit-events": BEFORE + 1,
    "calendar-feeds": BEFORE + 1,
    "complaints": BEFORE + 1,
    "customers": BEFORE + 1,
    "devices": BEFORE + 1,
    "findings": BEFORE + 1,
    "follow-ups": BEFORE + 1,
    "hand-overs": BEFORE + 1,
    "issues": BEFORE + 1,
    "jobs": BEFORE + 1,
    "machines": BEFORE + 1,
    "members": BEFORE + 1,
    "meter-readings": BEFORE + 1,
    "notice-templates": BEFORE + 1,
    "notices": BEFORE + 1,
    "opt-outs": BEFORE + 1,
    "plan-requests": BEFORE + 1,
    "owner-questions": BEFORE + 1,
    "printouts": BEFORE + 1,
    "push-subscriptions": BEFORE + 1,
    "quote-lines": BEFORE + 1,
    "quotes": BEFORE + 1,
    "rigs": BEFORE + 1,
    "runs": BEFORE + 1,
    "shop": BEFORE + 1,
    "sites": BEFORE + 1,
    "stops": BEFORE + 1,
    "time-entries": BEFORE + 1,
    "work-histories": BEFORE + 1,
    "yards": BEFORE + 1,
}


def test_a_list_costs_the_same_with_one_row_and_with_many(mine: Busy) -> None:
    assert set(BUDGETS) == set(mine.ids)
    browser, actor = Browser(mine.crew.owner), mine.crew.owner
    for _ in range(2):
        job = work.a_job(actor)
        work.a_complaint(actor, job)
        work.a_finding(actor, job)
        work.a_decision(actor, work.an_offer(actor, job))
    work.a_site(actor, mine.ids["customers"])
    work.a_reading(actor, mine.ids["machines"])
    for noun, budget in BUDGETS.items():
        for limit in (1, 3):
            with CaptureQueriesContext(
                connection,
            ) as ran:
                answer = browser.get(noun, limit=limit)
            asked = [query["sql"] for query in ran if "SAVEPOINT" not in query["sql"]]
            assert answer.status_code == 200
            assert len(asked) == budget, (noun, limit, asked)


def test_pages_give_each_row_once_in_the_order_of_making(mine: Busy) -> None:
    made = [mine.ids["customers"], *(work.a_customer(mine.crew.owner, name=f"No. {count}") for count in range(6))]
    browser = Browser(mine.crew.mechanic)
    found, cursor = [], ""
    for _ in range(4):
        page = browser.get("customers", limit=2, **({"cursor": cursor} if cursor else {})).json()
        found += [row["id"] for row in page["rows"]]
        cursor = page["next"]
    assert found == [str(one) for one in made]
    assert cursor is None


def test_filters_narrow(mine: Busy) -> None:
    actor, browser = mine.crew.owner, Browser(mine.crew.owner)
    other = work.a_job(actor)
    assert [row["id"] for row in browser.get("jobs", machine_id=str(mine.ids["machines"])).json()["rows"]] == [
        str(mine.ids["jobs"])
    ]
    assert browser.get("complaints", job_id=str(other)).json()["rows"] == []
    assert browser.get("jobs", stage="closed").json()["rows"] == []
    assert browser.get("quotes", state="decided").json()["rows"][0]["id"] == str(mine.ids["quotes"])
    assert browser.get("customers", archived="true").json()["rows"] == []
    assert browser.get("customers", changed_since="2099-01-01T00:00:00Z").json()["rows"] == []


@pytest.mark.parametrize("route", ["quotes", "quote-lines", "shop"])
def test_costs_are_hidden_from_whom_they_are_none_of_their_business(mine: Busy, route: str) -> None:
    row_id = mine.ids[route]
    shown = {
        role: [
            *Browser(actor).get(route).json()["rows"],
            Browser(actor).get(f"{route}/{row_id}").json(),
        ]
        for role, actor in {"mechanic": mine.crew.mechanic, "owner": mine.crew.owner}.items()
    }
    if route == "quote-lines":
        assert [row["unit_cost_minor"] for row in shown["owner"] if row["kind"] == "part"] == [1000]
        hidden = [row for row in shown["mechanic"] if row["kind"] == "part"]
        assert [(row["unit_cost_minor"], row["unit_price_minor"]) for row in hidden] == [(None, 1400)]
        return
    book = "book" if route == "shop" else "basis"
    for row in shown["owner"]:
        assert row[book]["part_bands"] == [{"up_to_minor": None, "markup_percent": "40"}]
    for row in shown["mechanic"]:
        assert row[book]["part_bands"] == []


def test_a_phone_of_a_mechanic_is_sent_no_cost(committed_db: None) -> None:
    busy = open_busy("Bench & Bar")
    rows = {}
    for actor in (busy.crew.mechanic, busy.crew.owner):
        browser, device = Browser(actor), str(actor.device_id)
        snapshot = browser.get("sync/snapshot", device=device).json()
        work.a_quote(busy.crew.owner, busy.ids["jobs"])
        pulled = browser.get("sync/pull", device=device, cursor=snapshot["cursor"]).json()
        rows[actor] = [snapshot["rows"], pulled["rows"]]
    for seen in rows[busy.crew.mechanic]:
        parts = [row for row in seen["quote_line"] if row["kind"] == "part"]
        assert [(row["unit_cost_minor"], row["unit_price_minor"]) for row in parts] == [(None, 1400)] * len(parts)
        assert parts
        assert [row["basis"]["part_bands"] for row in seen["quote"]] == [[]] * len(seen["quote"])
    assert rows[busy.crew.mechanic][0]["shop"][0]["book"]["part_bands"] == []
    assert {row["unit_cost_minor"] for row in rows[busy.crew.owner][0]["quote_line"]} == {None, 1000}
