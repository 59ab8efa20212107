"""What a program relies on when it reads and creates: order, dates, ETag, Location, media types, clashing edits."""

import json
from datetime import timedelta
from typing import Any

import pytest
from django.conf import settings

from shopapi.core.clock import now
from shopapi.core.http.openapi import operations_of
from shopapi.core.ids import uuid7
from shopapi.core.models import Issue
from shopapi.core.tenancy import in_shop
from tests.api.conftest import PopulatedShop
from tests.api.test_invalid_input import assert_problem
from tests.factories.crews import Browser

DOCUMENT: dict[str, Any] = json.loads(settings.API_DOCUMENT.read_text("utf-8"))


@pytest.fixture
def browser(own_shop: PopulatedShop) -> Browser:
    return Browser(own_shop.crew.owner)


def add_customers(browser: Browser, *names: str) -> list[str]:
    ids = [str(uuid7()) for _ in names]
    for row_id, name in zip(ids, names, strict=True):
        assert browser.post("customers", {"id": row_id, "name": name}).status_code == 201
    return ids


def ids_of(answer: Any) -> list[str]:
    assert answer.status_code == 200, answer.content
    return [row["id"] for row in answer.json()["rows"]]


def test_newest_come_first_over_all_pages(browser: Browser) -> None:
    add_customers(browser, "Ida", "Jo", "Kim")
    forwards = ids_of(browser.get("customers"))
    assert len(forwards) == 4
    seen: list[str] = []
    cursor = ""
    while True:
        answer = browser.get("customers", order="newest", limit=1, **({"cursor": cursor} if cursor else {}))
        seen += ids_of(answer)
        cursor = answer.json()["next"]
        if cursor is None:
            break
    assert seen == forwards[::-1]


def test_lists_are_narrowed_by_time(browser: Browser) -> None:
    (before,) = ids_of(browser.get("customers"))
    made = browser.get(f"customers/{before}").json()["created_at"]
    assert ids_of(browser.get("customers", created_at_from=made)) == [before]
    assert ids_of(browser.get("customers", created_at_before=made)) == []
    later = (now() + timedelta(hours=1)).isoformat()
    assert ids_of(browser.get("customers", changed_at_from=later)) == []


def test_jobs_are_narrowed_by_day(browser: Browser, own_shop: PopulatedShop) -> None:
    job = str(own_shop.ids["jobs"])
    read = browser.get(f"jobs/{job}").json()
    edit = {"id": job, "base": {"promised_on": read["promised_on"]}, "set": {"promised_on": "2026-05-20"}}
    assert browser.post(f"jobs/{job}/edit", edit).status_code == 200
    for asked, found in (
        ({"promised_on_from": "2026-05-20"}, [job]),
        ({"promised_on_until": "2026-05-20"}, [job]),
        ({"promised_on_from": "2026-05-21"}, []),
        ({"promised_on_until": "2026-05-19"}, []),
    ):
        assert ids_of(browser.get("jobs", **asked)) == found, asked


def test_every_day_and_instant_of_a_row_narrows_its_list() -> None:
    listed = {
        operation["operationId"]: {one["name"]: one["schema"] for one in operation["parameters"]}
        for _, operation in operations_of(DOCUMENT)
        if operation["operationId"].startswith("list_") and operation["operationId"] != "list_changes"
    }
    assert len(listed) > 60
    for name, parameters in listed.items():
        assert parameters["limit"] == {"type": "integer", "default": 50, "minimum": 1, "maximum": 200}, name
        assert parameters["order"]["enum"] == ["oldest", "newest"], name
    assert {"issued_on_from", "issued_on_until", "due_on_from"} <= listed["list_invoices"].keys()
    assert listed["list_payments"]["paid_on_from"] == {"type": "string", "format": "date"}
    assert listed["list_time_entries"]["started_at_before"] == {"type": "string", "format": "date-time"}


def test_unchanged_row_is_not_sent_again(browser: Browser, own_shop: PopulatedShop) -> None:
    """RFC 9110, sections 8.8.3 and 13.1.2."""
    path = f"customers/{own_shop.ids['customers']}"
    first = browser.get(path)
    etag = first["ETag"]
    assert (first.status_code, first["Cache-Control"]) == (200, "private, no-cache")
    for held in (etag, f"W/{etag}", f'"other", {etag}', "*"):
        again = browser.client.get(f"/api/v1/{path}", headers={"If-None-Match": held})
        assert (again.status_code, again.content, again["ETag"]) == (304, b"", etag), held
    read = first.json()
    edit = {"id": read["id"], "base": {"name": read["name"]}, "set": {"name": "Another name"}}
    assert browser.post(f"{path}/edit", edit).status_code == 200
    changed = browser.client.get(f"/api/v1/{path}", headers={"If-None-Match": etag})
    assert (changed.status_code, changed.json()["name"]) == (200, "Another name")
    assert changed["ETag"] != etag


def test_etag_is_of_what_the_reader_may_see(own_shop: PopulatedShop) -> None:
    """A member who may not see costs gets another representation, so another ETag."""
    path = f"price-book/{own_shop.ids['price-book']}"
    owner, mechanic = Browser(own_shop.crew.owner).get(path), Browser(own_shop.crew.mechanic).get(path)
    hidden = {name for name, value in owner.json().items() if mechanic.json()[name] != value}
    assert hidden == {"prices"}
    assert owner["ETag"] != mechanic["ETag"]


def test_new_row_names_its_address(browser: Browser) -> None:
    row_id, key = str(uuid7()), uuid7()
    for _ in range(2):
        made = browser.post("customers", {"id": row_id, "name": "Ida"}, key=key)
        assert (made.status_code, made["Location"]) == (201, f"/api/v1/customers/{row_id}")
    assert browser.client.get(made["Location"]).json()["name"] == "Ida"


def test_clashing_edit_answers_both_values_and_writes_nothing(browser: Browser, own_shop: PopulatedShop) -> None:
    customer = str(own_shop.ids["customers"])
    path = f"customers/{customer}"
    name = browser.get(path).json()["name"]
    first = {"id": customer, "base": {"name": name}, "set": {"name": "Theirs"}}
    assert browser.post(f"{path}/edit", first).status_code == 200
    with in_shop(own_shop.crew.shop_id):
        issues = Issue.objects.count()
    second = {"id": customer, "base": {"name": name, "notes": ""}, "set": {"name": "Ours", "notes": "Gate code"}}
    body = assert_problem(browser.post(f"{path}/edit", second), 409)
    assert body["code"] == "edited_twice"
    assert body["clashes"] == {"name": {"seen": name, "theirs": "Theirs", "ours": "Ours"}}
    assert [(fault["field"], fault["code"]) for fault in body["fields"]] == [("name", "edited_twice")]
    row = browser.get(path).json()
    assert (row["name"], row["notes"]) == ("Theirs", "")
    with in_shop(own_shop.crew.shop_id):
        assert Issue.objects.count() == issues
    second["base"] = {"name": "Theirs", "notes": ""}
    row = browser.post(f"{path}/edit", second).json()
    assert (row["name"], row["notes"]) == ("Ours", "Gate code")


def test_media_type_of_each_read_is_answered_or_refused(browser: Browser, own_shop: PopulatedShop) -> None:
    """`Accept` names what the document says that an operation answers: anything but 406; another type: 406."""
    others = {"application/json", "application/pdf", "text/csv", "image/jpeg"}
    tried = 0
    for path, operations in DOCUMENT["paths"].items():
        if "get" not in operations or "/session" in path:
            continue
        answered = set(operations["get"]["responses"]["200"].get("content", {"application/json": {}}))
        url = path.replace("{row_id}", str(uuid7())).replace("{number}", "1")
        for accepted in (*answered, *sorted(others - answered)):
            status = browser.client.get(url, headers={"Accept": accepted, "Tus-Resumable": "1.0.0"}).status_code
            assert (status == 406) == (accepted not in answered), (path, accepted, status)
            tried += 1
    assert tried > 500


def test_parameter_given_twice_is_refused_everywhere(browser: Browser, own_shop: PopulatedShop) -> None:
    for path in ("search?q=a&q=b", "customers?order=newest&order=oldest", "sync/pull?device=1&device=2"):
        body = assert_problem(browser.client.get(f"/api/v1/{path}"), 400)
        assert [fault["code"] for fault in body["fields"]] == ["given_twice"]
