"""An app older than the server's minimum build gets no rows, but can push its queue."""

from datetime import timedelta
from typing import Any

import pytest

from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.sync.api import views
from tests.factories.crews import Browser, Crew, open_crew
from tests.sync.direct_push import MOMENT, envelope

LEAST = "0.3.0"


@pytest.fixture
def crew(committed_db: None, monkeypatch: pytest.MonkeyPatch) -> Crew:
    monkeypatch.setattr(views, "MIN_BUILD", LEAST)
    return open_crew()


class App:
    """An app of one build in its own browser session. Builds up to 0.1.0 sent their build only with a push."""

    def __init__(self, crew: Crew, build: str, *, says: bool) -> None:
        self.browser, self.id, self.build = Browser(crew.office), uuid7(), build
        self.query = {"device": self.id} | ({"build": build} if says else {})
        answer = self.browser.post("sync/devices", {"id": str(self.id), "build": build})
        assert answer.status_code == 200, answer.content
        assert answer.json()["min_build"] == LEAST

    def push(self, no: int, name: str) -> Any:
        commands = [envelope(no, "add_customer", {"id": str(uuid7()), "name": name})]
        body = {"device": str(self.id), "build": self.build, "sent_wall": MOMENT, "commands": commands}
        return self.browser.post("sync/push", body)

    def pull(self) -> Any:
        return self.browser.get("sync/pull", cursor="1.0..", **self.query)

    def snapshot(self) -> Any:
        return self.browser.get("sync/snapshot", **self.query)


@pytest.mark.parametrize("says", [True, False])
def test_old_app_can_push_and_gets_426_on_pull(crew: Crew, *, says: bool) -> None:
    app = App(crew, "0.2.9", says=says)
    pushed = app.push(1, "Winnie Stroud")
    assert [one["status"] for one in pushed.json()["results"]] == ["applied"]
    for refused in (app.pull(), app.snapshot()):
        assert refused.status_code == 426
        body = refused.json()
        assert (body["code"], body["min_build"]) == ("app_too_old", LEAST)
        assert "take its new version" in body["detail"]
        assert "rows" not in body
    with in_shop(crew.shop_id):
        assert Customer.objects.get().name == "Winnie Stroud"


def test_queue_of_a_phone_that_was_off_for_400_days_is_taken(crew: Crew) -> None:
    """Scenario 23: all of its commands run, at their own times; rows come after the app has updated itself."""
    app = App(crew, "0.2.9", says=True)
    made = (now() - timedelta(days=400)).isoformat()
    ids = [str(uuid7()) for _ in range(40)]
    queued = [
        envelope(no, "add_customer", {"id": one, "name": f"No. {no}"}, wall=made) for no, one in enumerate(ids, 1)
    ]
    body = {"device": str(app.id), "build": app.build, "sent_wall": now().isoformat(), "commands": queued}
    pushed = app.browser.post("sync/push", body).json()
    assert [one["status"] for one in pushed["results"]] == ["applied"] * 40
    assert pushed["next_no"] == 41
    assert app.pull().status_code == 426
    app.query["build"] = LEAST
    rows = app.snapshot().json()["rows"]["customer"]
    assert {row["id"] for row in rows} == set(ids)


@pytest.mark.parametrize("build", [LEAST, "0.10.0", "1.0.0", "", "a program of one's own"])
def test_builds_at_or_above_the_minimum_are_served(crew: Crew, build: str) -> None:
    app = App(crew, build, says=True)
    assert app.snapshot().status_code == 200
    assert app.pull().status_code == 200


def test_new_build_is_served_before_its_first_push(crew: Crew) -> None:
    old = App(crew, "0.2.9", says=False)
    assert old.snapshot().status_code == 426
    old.query["build"] = LEAST
    assert old.snapshot().status_code == 200
