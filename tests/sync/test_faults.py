"""Faults that last: a killed database, a link that is cut again and again, phones that are away for days."""

import base64
import hashlib
import os
import random
import signal
import threading
import time
from collections.abc import Callable
from datetime import datetime, timedelta
from http.client import HTTPConnection, HTTPException
from typing import Any

from django.db import OperationalError, connections

from shopapi.core.clock import now
from shopapi.core.tenancy import in_shop
from shopapi.files.models import Attachment, UploadPart
from shopapi.labor.models import TimeEntry
from shopapi.quotes.models import Quote
from tests.database import empty_database
from tests.files.sample_pictures import encode, sample_image
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite
from tests.sync import invariants, scenario
from tests.sync.conftest import SHOP, SyncShop, create_shop
from tests.sync.simulated_phone import ConnectionLost, SimulatedPhone, iso_utc

NewPhone = Callable[..., SimulatedPhone]
TUS = {"Tus-Resumable": "1.0.0"}


def sync_when_possible(phone: SimulatedPhone, *, seconds: float = 60) -> None:
    """Sync again and again, as the app does, until it succeeds."""
    until = time.monotonic() + seconds
    while True:
        try:
            phone.sync()
        except ConnectionLost:
            assert time.monotonic() < until, "no sync succeeded in time"
            time.sleep(0.2)
        else:
            return


# Scenario 3


def kill_database_sessions() -> None:
    """SIGKILL of each process that serves a connection: PostgreSQL ends all others too and recovers from its log."""
    found = invariants.query(
        "SELECT pid FROM pg_stat_activity WHERE backend_type = 'client backend' AND datname = current_database()"
        " AND pid <> pg_backend_pid()"
    )
    for (pid,) in found:
        os.kill(pid, signal.SIGKILL)
    for connection in connections.all():
        connection.close()


def wait_for_database(seconds: float = 30) -> None:
    until = time.monotonic() + seconds
    while True:
        try:
            invariants.query("SELECT 1")
        except OperationalError:
            for connection in connections.all():
                connection.close()
            if time.monotonic() > until:
                raise
            time.sleep(0.1)
        else:
            return


def visits(phone: SimulatedPhone, count: int) -> SimulatedPhone:
    for nth in range(count):
        scenario.record_visit(phone, shop=SHOP, nth=nth)
    return phone


def test_killed_database_loses_nothing_that_was_answered(live_site: LiveSite, new_phone: NewPhone) -> None:
    """Scenario 3: PostgreSQL's processes are killed while a push is under way."""
    undisturbed = create_shop()
    visits(new_phone(undisturbed.owner_key, seed=31), 3).sync()
    expected = invariants.content_hash(undisturbed.id, same_people=False)
    draw = random.Random(31)  # noqa: S311
    for _ in range(3):
        empty_database(connections["owner"])
        shop = create_shop()
        phone = visits(new_phone(shop.owner_key, seed=31), 3)
        syncing = threading.Thread(target=sync_when_possible, args=(phone,))
        syncing.start()
        time.sleep(draw.uniform(0.02, 0.4))
        kill_database_sessions()
        wait_for_database()
        syncing.join()
        assert {entry.status for entry in phone.outbox} == {"applied"}
        invariants.assert_server_invariants(shop.id)
        assert invariants.content_hash(shop.id, same_people=False) == expected


# Scenario 9


def test_long_queue_drains_while_others_of_the_shop_work(shop: SyncShop, new_phone: NewPhone) -> None:
    """Scenario 9, with about 1,000 commands: another phone works in the meantime and is never refused.

    How long each waits is a figure of `manage.py benchmark sync`.
    """
    away = new_phone(shop.owner_key, seed=91)
    for nth in range(70):
        scenario.record_visit(away, shop=SHOP, nth=nth)
    scenario.create_row(away, "add_customer", name="x" * 121)
    assert len(away.outbox) > 950
    draining = threading.Thread(target=sync_when_possible, args=(away,), kwargs={"seconds": 300})
    other = new_phone(shop.mechanic_key, seed=92)
    draining.start()
    rounds = 0
    while draining.is_alive():
        scenario.create_row(other, "add_customer", name=f"In the meantime {rounds}")
        other.sync()
        rounds += 1
        time.sleep(0.05)
    draining.join()
    other.sync()
    assert rounds >= 3
    assert {entry.status for entry in other.outbox} == {"applied"}
    assert [entry.status for entry in away.outbox].count("rejected") == 1
    assert len(other.rows("job")) == 70
    invariants.assert_server_invariants(shop.id)
    invariants.assert_equals_snapshot(other)


# Scenarios 10 and 12: bytes of pictures have a channel of their own


class PictureSender:
    """Sends the bytes of pictures by tus over a link that is cut, and counts what it had to send twice."""

    def __init__(self, port: int, key: str) -> None:
        self.port, self.sent = port, 0
        self.headers = {"Authorization": f"Token {key}", **TUS}

    def ask(self, method: str, path: str, body: bytes | None = None, **headers: str) -> tuple[int, dict[str, str]]:
        connection = HTTPConnection("localhost", self.port, timeout=5)
        try:
            connection.request(method, f"/api/v1/uploads{path}", body, self.headers | headers)
            answer = connection.getresponse()
            answer.read()
            return answer.status, dict(answer.headers)
        except (OSError, HTTPException) as error:
            raise ConnectionLost from error
        finally:
            connection.close()

    def send(self, attachment_id: str, content: bytes) -> bool:
        """One attempt; True when the server has every byte."""
        metadata = "attachment " + base64.b64encode(attachment_id.encode()).decode()
        status, begun = self.ask("POST", "", b"", **{"Upload-Length": str(len(content)), "Upload-Metadata": metadata})
        assert status in (200, 201), status
        offset = int(begun["Upload-Offset"])
        if offset == len(content):
            return True
        self.sent += len(content) - offset
        kind = {"Content-Type": "application/offset+octet-stream", "Upload-Offset": str(offset)}
        status, _ = self.ask("PATCH", f"/{attachment_id}", content[offset:], **kind)
        assert status in (204, 409), status
        return status == 204


def announce(phone: SimulatedPhone, content: bytes, finding_id: str) -> str:
    return scenario.create_row(
        phone,
        "add_attachment",
        about_kind="finding",
        about_id=finding_id,
        taken_at=iso_utc(now()),
        sha256=hashlib.sha256(content).hexdigest(),
        bytes=len(content),
    )


def test_300_pictures_over_a_link_that_is_cut(
    shop: SyncShop, phone: SimulatedPhone, proxy: FlakyProxy, live_site: LiveSite
) -> None:
    """Scenario 10: the link is cut every 200 to 800 kB; no picture is lost, none stored twice, commands go ahead."""
    seen = scenario.record_visit(phone, shop=SHOP)
    draw = random.Random(10)  # noqa: S311
    plain = encode(sample_image(320, 240), "JPEG")
    # Bytes after the end of a JPEG are ignored; each picture is one of its own.
    pictures = [plain + draw.randbytes(20_000) for _ in range(300)]
    ids = [announce(phone, content, seen.finding_id) for content in pictures]
    # The commands arrive before the first byte of a picture.
    phone.sync()
    assert {row["state"] for row in phone.rows("attachment").values()} == {"waiting"}
    sender = PictureSender(proxy.port, shop.owner_key)
    proxy.cut_after(draw.randrange(200_000, 800_000), "up")
    cuts = 0
    for attachment_id, content in zip(ids, pictures, strict=True):
        for _ in range(20):
            try:
                if sender.send(attachment_id, content):
                    break
            except ConnectionLost:
                cuts += 1
                proxy.open()
                proxy.cut_after(draw.randrange(200_000, 800_000), "up")
        else:
            raise AssertionError("a picture was never taken")
    whole = sum(map(len, pictures))
    assert cuts >= 5
    assert sender.sent <= 1.1 * whole
    with in_shop(shop.id):
        assert set(Attachment.objects.values_list("state", flat=True)) <= {"received", "ready"}
        assert UploadPart.objects.values("upload_id").distinct().count() == 300
    invariants.assert_server_invariants(shop.id)


def test_job_ends_though_a_picture_never_arrives(shop: SyncShop, phone: SimulatedPhone) -> None:
    """Scenario 12: everybody sees that it is missing and whose phone has it; the job does not wait for it."""
    seen = scenario.record_visit(phone, shop=SHOP)
    missing = announce(phone, b"never sent", seen.finding_id)
    for stage in ("repair", "testing"):
        phone.write("move_job", id=seen.job_id, stage=stage)
    phone.write("move_job", id=seen.job_id, stage="cancelled")
    phone.sync()
    row = phone.rows("attachment")[missing]
    assert (row["state"], row["added_by_id"]) == ("waiting", str(shop.owner.member_id))
    assert phone.rows("job")[seen.job_id]["stage"] == "cancelled", [entry.outcome for entry in phone.outbox[-3:]]


# Scenario 18


def test_stop_before_its_start_is_joined_when_that_arrives(shop: SyncShop, new_phone: NewPhone) -> None:
    """Scenario 18: clocked in on one phone, out on another, which has signal first."""
    first, second = (new_phone(shop.owner_key, seed=seed) for seed in (18, 19))
    seen = scenario.record_visit(first, shop=SHOP)
    first.sync()
    began, ended = now() - timedelta(hours=1), now() - timedelta(minutes=15)
    entry_id = scenario.create_row(first, "start_clock", kind="repair", job_id=seen.job_id, started_at=iso_utc(began))
    stop = second.write("stop_clock", id=entry_id, ended_at=iso_utc(ended))
    second.sync()
    assert (stop.status, stop.outcome and stop.outcome["code"]) == ("held", "waits_for")
    first.sync()
    second.pull()
    for phone in (first, second):
        phone.pull()
        entry = phone.rows("time_entry")[entry_id]
        assert entry["ended_at"] is not None, stop.outcome
        spent = datetime.fromisoformat(entry["ended_at"]) - datetime.fromisoformat(entry["started_at"])
        assert round(spent.total_seconds()) == 45 * 60
    with in_shop(shop.id):
        assert TimeEntry.objects.count() == 1
    invariants.assert_server_invariants(shop.id)


# Scenarios 48 and 49


def test_quotes_made_offline_by_two_phones_get_numbers_without_gaps(shop: SyncShop, new_phone: NewPhone) -> None:
    """Scenario 48: marks on the phones, numbers by the server in the order of arrival, none twice."""
    phones = [new_phone(shop.owner_key, seed=seed) for seed in (48, 49)]
    made = [[scenario.record_visit(phone, shop=SHOP, nth=nth).quote for nth in range(3)] for phone in phones]
    for start in range(0, len(phones[0].outbox), 10):
        for phone in phones:
            assert phone.push_entries(phone.outbox[start : start + 10]).status == 200
    for phone in phones:
        phone.sync()
    rows = phones[0].rows("quote")
    assert rows == phones[1].rows("quote")
    numbers = sorted(int(rows[draft.id]["number"].rsplit("-", 1)[-1]) for drafts in made for draft in drafts)
    assert numbers == list(range(numbers[0], numbers[0] + 6))
    marks = [{rows[draft.id]["mark"] for draft in drafts} for drafts in made]
    assert marks == [{f"{phone.letter}-q"} for phone in phones]


def test_quote_made_with_earlier_prices_stays_as_it_was_shown(shop: SyncShop, new_phone: NewPhone) -> None:
    """Scenario 49: the prices changed while the phone was away. The quote keeps its own, and its total."""
    away, office = (new_phone(shop.owner_key, seed=seed) for seed in (58, 59))
    away.sync()
    office.sync()
    seen = scenario.record_visit(away, shop=SHOP)
    (book,) = office.rows("price_book").values()
    dearer: dict[str, Any] = {**book["prices"], "tolerance_percent": "15"}
    office.write("edit_price_book", id=book["id"], base={"prices": book["prices"]}, set={"prices": dearer})
    office.sync()
    assert office.outbox[-1].status == "applied", office.outbox[-1].outcome
    away.sync()
    row = away.rows("quote")[seen.quote.id]
    assert (row["state"], row["totals"]["total_minor"]) == ("decided", seen.quote.total)
    assert row["basis"]["tolerance_percent"] == "0"
    (now_in_force,) = away.rows("price_book").values()
    assert now_in_force["prices"]["tolerance_percent"] == "15"
    with in_shop(shop.id):
        assert Quote.objects.get().basis["tolerance_percent"] == "0"
