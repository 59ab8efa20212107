"""Old traces are deleted in batches, the horizon moves, and a phone below it loses nothing."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from uuid import UUID

import psycopg
import pytest
from django.conf import settings
from django.contrib.sessions.models import Session
from django.db import DatabaseError, connection

from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.models import Outbox, Receipt
from shopapi.core.tenancy import in_shop
from shopapi.sync.models import LoggedCommand
from shopapi.sync.rules.cursor import Cursor, resync_reason
from shopapi.sync.services.retention import DROPPED, KeepDays, drop_ended_sessions, drop_old_rows
from shopapi.sync.tasks import drop_old_rows as daily_task
from tests.sync import invariants, scenario
from tests.sync.conftest import SHOP, SyncShop, create_shop
from tests.sync.simulated_phone import SimulatedPhone

KEEP = KeepDays(**settings.KEEP_DAYS)


def make_older(shop_id: UUID, **days: int) -> None:
    """Make rows of a table so many days older, as an operator might."""
    for table_and_column, by in days.items():
        table, _, column = table_and_column.partition("__")
        invariants.execute_sql(
            f"UPDATE {table} SET {column} = {column} - make_interval(days => %s) WHERE shop_id = %s", by, shop_id
        )


def horizon(shop_id: UUID) -> int:
    [(found,)] = invariants.query("SELECT horizon FROM core_synchead WHERE shop_id = %s", shop_id)
    return int(found)


def test_phone_beyond_the_horizon_takes_a_snapshot_and_loses_nothing(
    shop: SyncShop, phone: SimulatedPhone, new_phone: Callable[..., SimulatedPhone]
) -> None:
    other = new_phone(shop.owner_key, seed=2)
    gone = scenario.create_row(other, "add_customer", name="Removed meanwhile")
    other.sync()
    phone.sync()
    assert ("customer", gone) in phone.base
    other.write("remove_customer", id=gone)
    scenario.record_visit(other, shop=SHOP)
    other.sync()
    # Half a year passes; the other phone works on.
    make_older(shop.id, core_synccommit__at=KEEP.changes + 1)
    kept = scenario.create_row(other, "add_customer", name="Of today")
    other.sync()
    waiting = phone.write("add_customer", id=phone.new_id(), name="Typed while away")
    before = horizon(shop.id)
    daily_task()
    assert horizon(shop.id) > before
    assert invariants.query("SELECT 1 FROM core_syncchange WHERE dead AND row_id = %s", gone) == []
    phone.sync()
    assert phone.resync_reasons == ["horizon"]
    assert waiting.acked
    assert waiting.status == "applied"
    assert ("customer", gone) not in phone.base
    assert ("customer", kept) in phone.base
    invariants.assert_equals_snapshot(phone)
    # A phone that kept up goes on pulling.
    other.sync()
    assert other.resync_reasons == []
    invariants.assert_equals_snapshot(other)


def test_horizon_is_told_apart_from_another_history() -> None:
    cursor = Cursor(epoch=1, seq=5, token="mine", view="v")

    def reason(horizon: int, token: str | None, *, within: str = "") -> str | None:
        at = replace(cursor, within=within)
        return resync_reason(at, epoch=1, seq=90, horizon=horizon, token=token, view="v")

    assert reason(50, None) == "horizon"
    assert reason(5, None) == "fork", "nothing at the horizon is deleted"
    assert reason(50, "another") == "fork"
    assert reason(5, "mine") is None
    assert reason(5, "mine", within="a place") == "horizon", "what that commit deleted may be forgotten"
    assert reason(4, "mine", within="a place") is None


def test_old_traces_go_in_batches_and_young_ones_stay(committed_db: None) -> None:
    shop, other = create_shop(), create_shop()
    present = now()
    with in_shop(shop.id):
        for nth in range(5):
            Outbox.objects.create(shop_id=shop.id, task="a.b", done_at=present - timedelta(days=KEEP.outbox + 1 + nth))
            Receipt.objects.create(shop_id=shop.id, key=uuid7(), digest="x")
        for more in (
            {"done_at": present},
            {"failed_at": present - timedelta(days=KEEP.outbox + 1)},
            {"run_after": present - timedelta(days=900)},
        ):
            Outbox.objects.create(shop_id=shop.id, task="a.kept", **more)
        Outbox.objects.create(shop_id=shop.id, task="a.b", failed_at=present - timedelta(days=4 * KEEP.outbox + 1))
    make_older(shop.id, core_receipt__created_at=KEEP.receipts + 1, core_auditevent__at=KEEP.audit + 1)
    with in_shop(shop.id):
        Receipt.objects.create(shop_id=shop.id, key=uuid7(), digest="kept")
    events = len(invariants.query("SELECT 1 FROM core_auditevent WHERE shop_id = %s", shop.id))
    of_other = len(invariants.query("SELECT 1 FROM core_auditevent WHERE shop_id = %s", other.id))
    assert events > 0
    assert drop_old_rows(shop_id=shop.id, keep=KEEP, batch=2) == {"outbox": 6, "receipts": 5, "audit": events}
    assert drop_old_rows(shop_id=shop.id, keep=KEEP, batch=2) == {}
    with in_shop(shop.id):
        assert set(Outbox.objects.values_list("task", flat=True)) >= {"a.kept"}
        assert Outbox.objects.filter(task="a.kept").count() == 3
        assert not Outbox.objects.filter(task="a.b").exists()
        assert [row.digest for row in Receipt.objects.all()] == ["kept"]
    assert len(invariants.query("SELECT 1 FROM core_auditevent WHERE shop_id = %s", other.id)) == of_other


def test_arguments_of_old_commands_go_and_a_repetition_is_still_answered(shop: SyncShop, phone: SimulatedPhone) -> None:
    row_id = scenario.create_row(phone, "add_customer", name="Ada Lovell", phone="555 014 7001")
    phone.sync()
    make_older(shop.id, sync_loggedcommand__received_at=KEEP.commands + 1)
    assert drop_old_rows(shop_id=shop.id, keep=KEEP)["commands"] == 1
    with in_shop(shop.id):
        logged = LoggedCommand.objects.get(name="add_customer")
    assert logged.args == {DROPPED: True, "id": row_id}
    assert (logged.status, len(logged.digest)) == ("applied", 64)
    invariants.assert_server_invariants(shop.id)


def test_ended_sessions_go(db: None) -> None:
    present = now()
    Session.objects.create(session_key="old", session_data="x", expire_date=present - timedelta(seconds=1))
    Session.objects.create(session_key="new", session_data="x", expire_date=present + timedelta(days=1))
    assert drop_ended_sessions() == 1
    assert [one.session_key for one in Session.objects.all()] == ["new"]


@pytest.mark.parametrize(("function", "days"), [("feed_forget", 29), ("audit_forget", 364)])
def test_the_application_cannot_delete_young_history_or_that_of_another_shop(
    committed_db: None, function: str, days: int
) -> None:
    shop, other = create_shop(), create_shop()
    for of_shop, age in ((shop.id, days), (other.id, 4_000)):
        with pytest.raises(DatabaseError) as refused, in_shop(shop.id), connection.cursor() as cursor:
            cursor.execute(f"SELECT {function}(%s, %s, 10)", [of_shop, now() - timedelta(days=age)])
        assert isinstance(refused.value.__cause__, psycopg.errors.RaiseException)
