"""Periodic work runs in every shop, even if it fails in one."""

import ast
import logging
from uuid import UUID

import pytest
from celery.exceptions import SoftTimeLimitExceeded
from django.db import connection

from shopapi.core.actor import Actor
from shopapi.core.background import SomeShopsFailed, in_each_shop
from shopapi.core.models import SyncHead
from shopapi.core.tenancy import in_shop
from shopapi.notices.models import Notice
from shopapi.notices.services import delivery
from shopapi.notices.tasks import tidy_notices
from tests.factories.crews import Crew, open_crew
from tests.structure.source_tree import trees


@pytest.fixture
def crews(db: None) -> list[Crew]:
    return [open_crew(name) for name in ("Alder Yard", "Birch Yard", "Cedar Yard")]


def epoch(shop_id: UUID) -> int:
    with in_shop(shop_id):
        return SyncHead.objects.get(shop_id=shop_id).epoch


def test_failure_in_one_shop_does_not_stop_the_others(crews: list[Crew], caplog: pytest.LogCaptureFixture) -> None:
    before = {crew.shop_id: epoch(crew.shop_id) for crew in crews}
    seen: list[UUID] = []

    def work(shop_id: UUID) -> None:
        seen.append(shop_id)
        with in_shop(shop_id):
            SyncHead.objects.filter(shop_id=shop_id).update(epoch=before[shop_id] + 1)
            if len(seen) == 2:
                with connection.cursor() as cursor:
                    cursor.execute("SELECT 1 / 0")

    with pytest.raises(SomeShopsFailed, match="work failed in 1 of 3 shops"):
        in_each_shop(before, work)
    first, broken, last = seen
    assert {first, broken, last} == set(before)
    assert [epoch(shop) - before[shop] for shop in seen] == [1, 0, 1]
    [line] = [record for record in caplog.records if record.levelno == logging.ERROR]
    assert str(broken) in line.getMessage()
    assert line.exc_info is not None


def test_periodic_task_fails_after_running_in_all_shops(crews: list[Crew], monkeypatch: pytest.MonkeyPatch) -> None:
    served: list[UUID] = []

    def settle(*, actor: Actor) -> int:
        served.append(actor.shop_id)
        if len(served) == 2:
            raise ZeroDivisionError
        return Notice.objects.count()

    monkeypatch.setattr(delivery, "mark_lost_unknown", settle)
    outcome = tidy_notices.apply()
    assert isinstance(outcome.result, SomeShopsFailed)
    assert len(set(served)) == 3


def test_task_ends_at_its_time_limit() -> None:
    seen = []

    def work(shop_id: UUID) -> None:
        seen.append(shop_id)
        raise SoftTimeLimitExceeded

    with pytest.raises(SoftTimeLimitExceeded):
        in_each_shop([UUID(int=1), UUID(int=2)], work)
    assert len(seen) == 1


def test_no_task_goes_through_the_shops_by_itself() -> None:
    tasks = [(path, tree) for path, tree in trees() if path.name == "tasks.py"]
    loops = [
        path
        for path, tree in tasks
        for node in ast.walk(tree)
        if isinstance(node, ast.For | ast.comprehension) and "every_shop" in ast.dump(node.iter)
    ]
    assert len(tasks) >= 7
    assert loops == []
