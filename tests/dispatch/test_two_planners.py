"""Two people take two plans of one day in the same moment: one wins, the other is told, and no run is half written."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier
from uuid import UUID

from django.db import connection

from shopapi.core.clock import now
from shopapi.core.errors import Conflict
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import Run, Stop
from shopapi.dispatch.services.plan_acceptance import take_plan
from shopapi.dispatch.services.plan_execution import execute_plan_request
from shopapi.dispatch.services.plan_requests import request_plan
from tests.factories.crews import open_crew
from tests.factories.rigs import a_rig, a_stop, a_yard
from tests.factories.work import do


def test_two_planners_at_once(committed_db: None) -> None:
    crew = open_crew("Two planners")
    a_yard(crew.owner)
    a_rig(crew.owner)
    for _ in range(2):
        a_stop(crew.owner)
    day = (now() + timedelta(days=3)).date()
    plans = [do(crew.owner, request_plan, id=uuid7(), days=[day], rounds=20).id for _ in range(2)]
    for plan_id in plans:
        execute_plan_request(shop_id=crew.shop_id, plan_id=plan_id)
    at_once = Barrier(2)

    def take(plan_id: UUID) -> str:
        at_once.wait()
        try:
            do(crew.owner, take_plan, id=plan_id)
        except Conflict as refused:
            return refused.code
        finally:
            connection.close()
        return "taken"

    with ThreadPoolExecutor(2) as pool:
        assert sorted(pool.map(take, plans)) == ["plan_outdated", "taken"]
    with in_shop(crew.shop_id):
        (run,) = Run.objects.all()
        assert set(Stop.objects.values_list("state", "run")) == {("planned", run.id)}
