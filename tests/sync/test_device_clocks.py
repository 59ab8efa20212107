"""Time punches from phones with wrong clocks, for jobs that have not arrived, and who may see them."""

import http.client
import json
import re
import socket
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from shopapi.accounts.models import Device
from shopapi.core.clock import now
from shopapi.core.models import AuditEvent
from shopapi.core.tenancy import in_shop
from tests.sync import invariants, scenario
from tests.sync.conftest import SHOP, SyncShop
from tests.sync.simulated_clock import HOUR, MINUTE, SECOND, SimulatedClock
from tests.sync.simulated_phone import SimulatedPhone, iso_utc

NewPhone = Callable[..., SimulatedPhone]


@pytest.mark.parametrize("ahead", [timedelta(hours=3), timedelta(days=3), timedelta(days=-3)])
def test_times_from_a_wrong_clock_are_corrected_and_raw_ones_stored(
    shop: SyncShop, phone: SimulatedPhone, ahead: timedelta
) -> None:
    """An old app sends no exchanges: its clock is measured by when the push arrives."""
    began = now() - timedelta(minutes=50)
    ahead_ms = ahead // timedelta(milliseconds=1)
    clocks = phone.clocks = SimulatedClock(int(began.timestamp() * 1000), ahead_ms=ahead_ms)
    began = datetime.fromtimestamp(clocks.true_ms / 1000, UTC)
    entry_id = phone.new_id()
    phone.write("start_clock", id=entry_id, kind="errand", started_at=phone.wall_time())
    clocks.run(40 * MINUTE)
    phone.write("stop_clock", id=entry_id, ended_at=phone.wall_time())
    phone.sync()
    row = phone.rows("time_entry")[entry_id]
    started_at, ended_at = (datetime.fromisoformat(row[key]) for key in ("started_at", "ended_at"))
    assert abs(started_at - began) < timedelta(seconds=5)
    assert abs(ended_at - started_at - timedelta(minutes=40)) < timedelta(seconds=1)
    assert datetime.fromisoformat(row["device_started_at"]) == began + ahead
    assert abs(row["start_skew_ms"] - ahead / timedelta(milliseconds=1)) < 5000
    assert row["state"] == "closed"


def test_time_on_a_rejected_job_is_held_until_the_job_is_accepted(shop: SyncShop, phone: SimulatedPhone) -> None:
    """A customer without a name is rejected; job, start and stop depend on it and follow when it is corrected."""
    customer_id, machine_id, job_id, entry_id = (phone.new_id() for _ in range(4))
    began = now() - timedelta(hours=2)
    phone.write("add_customer", id=customer_id, name="x" * 121)
    phone.write("add_machine", id=machine_id, customer_id=customer_id, kind="tiller")
    phone.write("open_job", id=job_id, customer_id=customer_id, machine_id=machine_id, mark="A-1")
    phone.write("start_clock", id=entry_id, kind="repair", job_id=job_id, started_at=iso_utc(began))
    phone.write("stop_clock", id=entry_id, ended_at=iso_utc(began + timedelta(hours=1)))
    phone.sync()
    assert [entry.status for entry in phone.outbox] == ["rejected", "held", "held", "held", "held"]
    assert phone.rows("time_entry") == {}
    phone.write("add_customer", id=customer_id, name="Ada Brightwater")
    phone.sync()
    row = phone.rows("time_entry")[entry_id]
    assert (row["job_id"], row["state"]) == (job_id, "closed")
    invariants.assert_server_invariants(shop.id)


def test_mechanics_see_others_time_on_jobs_and_not_errands(shop: SyncShop, new_phone: NewPhone) -> None:
    owner, mechanic = new_phone(shop.owner_key), new_phone(shop.mechanic_key, seed=2)
    visit = scenario.record_visit(owner, shop=SHOP)
    on_job, errand = owner.new_id(), owner.new_id()
    began = now() - timedelta(hours=2)
    owner.write("start_clock", id=on_job, kind="repair", job_id=visit.job_id, started_at=iso_utc(began))
    owner.write("start_clock", id=errand, kind="errand", started_at=iso_utc(began + timedelta(hours=1)))
    own = mechanic.new_id()
    mechanic.write("start_clock", id=own, kind="errand", started_at=iso_utc(began))
    mechanic.sync()
    owner.sync()
    mechanic.sync()
    assert set(mechanic.rows("time_entry")) == {on_job, own}
    assert set(owner.rows("time_entry")) == {on_job, errand, own}
    invariants.assert_equals_snapshot(mechanic)


# Two clocks and exchanges with the server

DAY = 24 * HOUR
ClockHistory = Callable[[SimulatedPhone, SimulatedClock, str], None]


def write_start(phone: SimulatedPhone, entry_id: str) -> None:
    phone.write("start_clock", id=entry_id, kind="errand", started_at=phone.wall_time())


def write_stop(phone: SimulatedPhone, entry_id: str) -> None:
    phone.write("stop_clock", id=entry_id, ended_at=phone.wall_time())


def corrected_between(phone: SimulatedPhone, clocks: SimulatedClock, entry_id: str) -> None:
    write_start(phone, entry_id)
    clocks.run(10 * MINUTE)
    clocks.adjust(-clocks.ahead_ms)
    clocks.run(20 * MINUTE)
    write_stop(phone, entry_id)


def corrected_before_push(phone: SimulatedPhone, clocks: SimulatedClock, entry_id: str) -> None:
    write_start(phone, entry_id)
    clocks.run(30 * MINUTE)
    write_stop(phone, entry_id)
    clocks.run(MINUTE)
    clocks.adjust(-clocks.ahead_ms)


def asleep_meanwhile(phone: SimulatedPhone, clocks: SimulatedClock, entry_id: str) -> None:
    write_start(phone, entry_id)
    clocks.sleep(29 * MINUTE)
    clocks.run(MINUTE)
    write_stop(phone, entry_id)


def sent_at_once_then_corrected(phone: SimulatedPhone, clocks: SimulatedClock, entry_id: str) -> None:
    write_start(phone, entry_id)
    phone.record_contact()
    phone.push()
    clocks.run(15 * MINUTE)
    clocks.adjust(-clocks.ahead_ms)
    clocks.run(15 * MINUTE)
    write_stop(phone, entry_id)


def play_history(phone: SimulatedPhone, life: ClockHistory, *, ahead: int, length: int = 2 * HOUR) -> tuple[str, int]:
    """Let a phone play a history that ends now, and sync. Returns the entry and its true start in ms."""
    clocks = phone.clocks = SimulatedClock(int(now().timestamp() * 1000) - length, ahead_ms=ahead)
    entry_id = phone.new_id()
    phone.record_contact()
    clocks.run(MINUTE)
    true_start = clocks.true_ms
    life(phone, clocks, entry_id)
    clocks.run(SECOND)
    phone.record_contact()
    phone.sync()
    return entry_id, true_start


def span_of(row: dict[str, Any]) -> tuple[datetime, timedelta]:
    started_at, ended_at = (datetime.fromisoformat(row[key]) for key in ("started_at", "ended_at"))
    return started_at, ended_at - started_at


@pytest.mark.parametrize("ahead", [-2 * HOUR, 20 * MINUTE, 3 * DAY, -3 * DAY])
@pytest.mark.parametrize(
    "life", [corrected_between, corrected_before_push, asleep_meanwhile, sent_at_once_then_corrected]
)
def test_duration_is_exact_however_the_wall_clock_was_set(
    shop: SyncShop, phone: SimulatedPhone, life: ClockHistory, ahead: int
) -> None:
    entry_id, true_start = play_history(phone, life, ahead=ahead)
    row = phone.rows("time_entry")[entry_id]
    started_at, length = span_of(row)
    assert abs(length - timedelta(minutes=30)) <= timedelta(seconds=1)
    assert abs(started_at.timestamp() * 1000 - true_start) <= SECOND
    # The phone's own time is stored too, with its skew.
    assert datetime.fromisoformat(row["device_started_at"]).timestamp() * 1000 == true_start + ahead
    assert abs(row["start_skew_ms"] - ahead) <= SECOND
    assert (row["state"], row["anomaly"], phone.rows("issue")) == ("closed", "", {})
    invariants.assert_server_invariants(shop.id)
    with in_shop(shop.id):
        event = AuditEvent.objects.get(event="clock started")
        way = "ahead" if ahead > 0 else "behind"
        assert event.details["clock"].startswith("adjusted by ")
        assert event.details["clock"].endswith(f": phone clock was {way}")


def test_ambiguous_durations_need_review(shop: SyncShop, phone: SimulatedPhone) -> None:
    """It slept before and after the start, and its clock was set by two hours at an unknown moment."""

    def life(phone: SimulatedPhone, clocks: SimulatedClock, entry_id: str) -> None:
        clocks.sleep(30 * MINUTE)
        write_start(phone, entry_id)
        clocks.sleep(20 * MINUTE)
        clocks.adjust(2 * HOUR)
        clocks.run(10 * MINUTE)
        write_stop(phone, entry_id)

    entry_id, _ = play_history(phone, life, ahead=-2 * HOUR)
    row = phone.rows("time_entry")[entry_id]
    assert (row["state"], row["anomaly"]) == ("disputed", "clock_set")
    (issue,) = phone.rows("issue").values()
    assert (issue["entity_id"], issue["state"]) == (entry_id, "open")
    assert "changed by about 120 min" in issue["words"]
    assert "The phone showed" in issue["words"]
    assert (issue["message"], issue["context"]["minutes"]) == ("time_clock_set", 120)
    # The member whose time it is settles it.
    phone.write("settle_entries", id=entry_id)
    phone.sync()
    assert phone.rows("time_entry")[entry_id]["state"] == "closed"
    assert [one["state"] for one in phone.rows("issue").values()] == ["resolved"]


@pytest.mark.parametrize("ahead", [3 * DAY, -3 * DAY])
def test_command_order_ignores_wall_clock(shop: SyncShop, phone: SimulatedPhone, ahead: int) -> None:
    """Scenario 19: corrected in the middle of the queue, by days. Three clocks end where the next begins."""
    ids = [phone.new_id() for _ in range(3)]

    def life(phone: SimulatedPhone, clocks: SimulatedClock, entry_id: str) -> None:
        for each in ids:
            write_start(phone, each)
            clocks.run(5 * MINUTE)
            if each == ids[1]:
                clocks.adjust(-clocks.ahead_ms)
            clocks.run(5 * MINUTE)
        write_stop(phone, ids[-1])

    play_history(phone, life, ahead=ahead)
    rows = [phone.rows("time_entry")[each] for each in ids]
    assert [row["state"] for row in rows] == ["closed"] * 3
    assert [round(span_of(row)[1] / timedelta(seconds=1)) for row in rows] == [600] * 3
    assert [rows[0]["ended_at"], rows[1]["ended_at"]] == [rows[1]["started_at"], rows[2]["started_at"]]
    # By number, though the wall clocks of the later ones show an earlier time; what was wrong is on record.
    logged = sorted(invariants.table_rows("sync_loggedcommand", shop.id), key=lambda row: row["no"])
    assert [row["seq"] for row in logged] == sorted(row["seq"] for row in logged)
    assert [abs(row["start_skew_ms"] - ahead) < SECOND for row in rows] == [True, True, False]
    invariants.assert_server_invariants(shop.id)


@pytest.mark.parametrize("ahead", [3 * DAY, -3 * DAY])
def test_a_wrong_clock_does_not_affect_other_phones(shop: SyncShop, new_phone: NewPhone, ahead: int) -> None:
    owner, mechanic = new_phone(shop.owner_key), new_phone(shop.mechanic_key, seed=2)
    play_history(mechanic, corrected_between, ahead=ahead)
    entry_id, true_start = play_history(owner, asleep_meanwhile, ahead=0)
    row = owner.rows("time_entry")[entry_id]
    assert datetime.fromisoformat(row["started_at"]).timestamp() * 1000 == true_start
    assert (row["start_skew_ms"], row["state"]) == (0, "closed")


def test_commands_without_contacts_from_an_old_app_are_executed(shop: SyncShop, phone: SimulatedPhone) -> None:
    """The envelope of every version ever shipped still works. Its two clocks show by how much and when it was set."""
    clocks = phone.clocks = SimulatedClock(int(now().timestamp() * 1000) - 3 * HOUR, ahead_ms=-2 * HOUR)
    phone.write("add_customer", id=phone.new_id(), name="Ada Brightwater")
    clocks.run(2 * HOUR)
    phone.sync()
    entry_id = phone.new_id()
    corrected_between(phone, clocks, entry_id)
    phone.sync()
    assert [entry.status for entry in phone.outbox] == ["applied"] * 3
    row = phone.rows("time_entry")[entry_id]
    _, length = span_of(row)
    assert abs(length - timedelta(minutes=30)) <= timedelta(seconds=1)


@pytest.mark.parametrize(
    "wrong",
    [
        {"within_ms": 10**12},
        {"server": "9000-01-01T00:00:00Z"},
        {"server": "2001-01-01T00:00:00Z", "within_ms": 0},
        {"session": "", "mono_ms": 2**53 - 1},
    ],
)
def test_implausible_contacts_are_ignored(shop: SyncShop, phone: SimulatedPhone, wrong: dict[str, Any]) -> None:
    clocks = phone.clocks = SimulatedClock(int(now().timestamp() * 1000) - HOUR)
    entry_id = phone.new_id()
    asleep_meanwhile(phone, clocks, entry_id)
    phone.record_contact()
    phone.contacts = [{**one, **wrong} for one in phone.contacts]
    phone.sync()
    _, length = span_of(phone.rows("time_entry")[entry_id])
    assert length == timedelta(minutes=30)
    with in_shop(shop.id):
        assert abs(Device.objects.get(id=phone.id).skew_ms) < 5 * SECOND


def test_daylight_saving_days_are_counted_by_elapsed_time(shop: SyncShop, phone: SimulatedPhone) -> None:
    """Scenario 20: zones and daylight saving only affect display; phones send instants."""
    clocks = phone.clocks = SimulatedClock(int(datetime(2026, 3, 8, 6, 0, tzinfo=UTC).timestamp() * 1000))
    entry_id = phone.new_id()
    phone.record_contact()
    phone.write("start_clock", id=entry_id, kind="errand", started_at="2026-03-07T23:00:00.100-07:00")
    clocks.sleep(8 * HOUR)
    phone.write("stop_clock", id=entry_id, ended_at="2026-03-08T08:00:00.100-06:00")
    phone.sync()
    row = phone.rows("time_entry")[entry_id]
    # From 11 PM to 8 AM on the wall, with one hour skipped (2026-03-08, 2 AM, America/Boise; tz database).
    assert span_of(row)[1] == timedelta(hours=8)


# HTTP


def test_responses_carry_received_and_sent_times(shop: SyncShop, phone: SimulatedPhone) -> None:
    connection = http.client.HTTPConnection("localhost", phone.send.port)  # type: ignore[attr-defined] # the phone was made with an HTTP sender
    before = now().timestamp() * 1000
    connection.request("GET", "/api/v1/session")
    response = connection.getresponse()
    response.read()
    connection.close()
    after = now().timestamp() * 1000
    received, answered = map(int, response.headers["Server-Clock"].split())
    assert before - 1 <= received <= answered <= after + 1


def test_slow_request_body_is_not_taken_for_clock_skew(shop: SyncShop, phone: SimulatedPhone) -> None:
    """The arrival of the first byte counts. Here the body comes three seconds after the headers.

    The clock is ten minutes ahead, so that what is measured is kept to the millisecond.
    """
    ahead = timedelta(minutes=10)
    body = {"device": phone.id, "build": "1", "sent_wall": iso_utc(now() + ahead), "commands": []}
    phone.write("add_customer", id=phone.new_id(), name="Ada Brightwater")
    raw = json.dumps({**body, "commands": [phone.outbox[0].to_body()]}).encode()
    port, key = phone.send.port, phone.send.key  # type: ignore[attr-defined] # the phone was made with an HTTP sender
    with socket.create_connection(("localhost", port)) as line:
        head = [
            "POST /api/v1/sync/push HTTP/1.1",
            f"Host: localhost:{port}",
            f"Authorization: Token {key}",
            "Content-Type: application/json",
            f"Content-Length: {len(raw)}",
            "Connection: close",
        ]
        line.sendall(("\r\n".join(head) + "\r\n\r\n").encode())
        time.sleep(3)
        line.sendall(raw)
        answer = b"".join(iter(lambda: line.recv(65536), b""))
    assert b" 200 " in answer.split(b"\r\n")[0]
    received, answered = (int(part) for part in re.findall(rb"(?i)server-clock: (\d+) (\d+)", answer)[0])
    assert answered - received >= 2_900
    with in_shop(shop.id):
        assert abs(Device.objects.get(id=phone.id).skew_ms - ahead / timedelta(milliseconds=1)) < 1_000
