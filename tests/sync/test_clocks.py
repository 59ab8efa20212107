"""Clocks as phones send them: a wrong clock, a job that is not there yet, and what another member may see."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from tests.sync import story, truth
from tests.sync.conftest import SHOP, House
from tests.sync.phone import Phone

Of = Callable[..., Phone]


def wire(at: datetime) -> str:
    return at.isoformat().replace("+00:00", "Z")


@pytest.mark.parametrize("ahead", [timedelta(hours=3), timedelta(days=-3)])
def test_stamps_of_a_wrong_clock_are_put_right_and_kept(
    house: House, phone: Phone, monkeypatch: pytest.MonkeyPatch, ahead: timedelta
) -> None:
    """The skew is that of the push: the clock that made the stamps is the one that is measured when they are sent."""
    began = datetime.now(UTC) - timedelta(minutes=50)
    entry_id = phone.mint()
    phone.write("start_clock", id=entry_id, kind="errand", started_at=wire(began + ahead))
    phone.write("stop_clock", id=entry_id, ended_at=wire(began + ahead + timedelta(minutes=40)))
    send = phone.send

    def sent_by_a_wrong_clock(method: str, path: str, body: Any, headers: dict[str, str]) -> Any:
        if path.endswith("sync/push"):
            body = {**body, "sent_wall": wire(datetime.now(UTC) + ahead)}
        return send(method, path, body, headers)

    monkeypatch.setattr(phone, "send", sent_by_a_wrong_clock)
    phone.sync()
    row = phone.rows("time_entry")[entry_id]
    started_at, ended_at = (datetime.fromisoformat(row[key]) for key in ("started_at", "ended_at"))
    assert abs(started_at - began) < timedelta(seconds=5)
    assert abs(ended_at - started_at - timedelta(minutes=40)) < timedelta(seconds=1)
    assert datetime.fromisoformat(row["device_started_at"]) == began + ahead
    assert abs(row["start_skew_ms"] - ahead / timedelta(milliseconds=1)) < 5000
    assert row["state"] == "closed"


def test_time_on_a_job_that_was_refused_waits_for_it_and_is_not_lost(house: House, phone: Phone) -> None:
    """A customer without a name is refused; job, start and stop hang on it and follow when it is mended."""
    customer_id, machine_id, job_id, entry_id = (phone.mint() for _ in range(4))
    began = datetime.now(UTC) - timedelta(hours=2)
    phone.write("add_customer", id=customer_id, name="x" * 121)
    phone.write("add_machine", id=machine_id, customer_id=customer_id, kind="tiller")
    phone.write("open_job", id=job_id, customer_id=customer_id, machine_id=machine_id, mark="A-1")
    phone.write("start_clock", id=entry_id, kind="repair", job_id=job_id, started_at=wire(began))
    phone.write("stop_clock", id=entry_id, ended_at=wire(began + timedelta(hours=1)))
    phone.sync()
    assert [entry.status for entry in phone.outbox] == ["rejected", "held", "held", "held", "held"]
    assert phone.rows("time_entry") == {}
    phone.write("add_customer", id=customer_id, name="Ada Brightwater")
    phone.sync()
    row = phone.rows("time_entry")[entry_id]
    assert (row["job_id"], row["state"]) == (job_id, "closed")
    truth.assert_sound(house.id)


def test_time_on_a_job_that_nobody_knows_is_held_and_laid_before_people(house: House, phone: Phone) -> None:
    nowhere = phone.mint()
    phone.write("start_clock", id=phone.mint(), kind="repair", job_id=nowhere, started_at=wire(datetime.now(UTC)))
    phone.sync()
    assert phone.outbox[-1].status == "held"
    (issue,) = phone.rows("issue").values()
    assert (issue["name"], issue["state"], issue["ours"]["job_id"]) == ("start_clock", "open", nowhere)


def test_others_see_time_on_jobs_and_not_errands(house: House, phone_of: Of) -> None:
    owner, mechanic = phone_of(house.owner_key), phone_of(house.mechanic_key, seed=2)
    visit = story.visit(owner, shop=SHOP)
    on_job, errand = owner.mint(), owner.mint()
    began = datetime.now(UTC) - timedelta(hours=2)
    owner.write("start_clock", id=on_job, kind="repair", job_id=visit.job_id, started_at=wire(began))
    owner.write("start_clock", id=errand, kind="errand", started_at=wire(began + timedelta(hours=1)))
    own = mechanic.mint()
    mechanic.write("start_clock", id=own, kind="errand", started_at=wire(began))
    mechanic.sync()
    owner.sync()
    mechanic.sync()
    assert set(mechanic.rows("time_entry")) == {on_job, own}
    assert set(owner.rows("time_entry")) == {on_job, errand, own}
    truth.assert_shows_everything(mechanic)
