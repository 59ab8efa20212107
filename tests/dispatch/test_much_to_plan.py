"""Five hundred stops, and breakdowns while planning, through the services as run by a worker."""

import random
from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shopapi.core.clock import held_at
from shopapi.core.errors import Conflict, unpack
from shopapi.core.ids import uuid7
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Site
from shopapi.dispatch.models import PlanRequest, Run, Stop
from shopapi.dispatch.rules.schemas.plan import PlanAnswer
from shopapi.dispatch.services import plan_execution
from shopapi.dispatch.services.plan_acceptance import take_plan
from shopapi.dispatch.services.plan_execution import execute_plan_request
from shopapi.dispatch.services.plan_requests import request_plan
from shopapi.dispatch.services.rigs import edit_rig
from shopapi.jobs.models import Job
from shopapi.planner.plan import plan_with_slack
from shopapi.planner.problem import Plan
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.rigs import a_rig, a_yard
from tests.factories.work import do, made

# A Tuesday in Chicago, six in the morning there.
MORNING = datetime(2026, 5, 5, 11, 0, tzinfo=UTC)
TOMORROW = date(2026, 5, 6)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def many_stops(crew: Crew, count: int) -> set[UUID]:
    """Pickups, each with a job and a site of its own, around the yard."""
    customer = work.a_customer(crew.owner)
    machine = work.a_machine(crew.owner, customer, mass_kg=250, length_cm=180, width_cm=110)
    drawn = random.Random(count)  # noqa: S311 - a drawn map, nothing secret
    owned = {"shop_id": crew.shop_id}
    sites = [
        Site(
            **owned,
            customer_id=customer,
            label=f"Barn {number}",
            lat=f"{40.3 + drawn.uniform(-0.3, 0.3):.4f}",
            lon=f"{-98.44 + drawn.uniform(-0.4, 0.4):.4f}",
        )
        for number in range(count)
    ]
    jobs = [
        Job(**owned, customer_id=customer, machine_id=machine, site=site, number=f"J-{5000 + number}")
        for number, site in enumerate(sites)
    ]
    stops = [Stop(**owned, job=job, site=job.site, kind="pickup") for job in jobs]
    with in_shop(crew.shop_id):
        Site.objects.bulk_create(sites)
        Job.objects.bulk_create(jobs)
        Stop.objects.bulk_create(stops)
    return {stop.id for stop in stops}


def asked(crew: Crew, **more: object) -> UUID:
    return made(crew.owner, request_plan, **{"id": uuid7(), "days": [TOMORROW], "rounds": 5, **more})


def of(crew: Crew, plan_id: UUID) -> PlanRequest:
    with in_shop(crew.shop_id):
        return PlanRequest.objects.get(id=plan_id)


def test_of_five_hundred_stops_each_is_on_a_run_or_has_its_reason_and_all_are_taken_at_once(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        for name in ("Blue truck", "Red truck"):
            a_rig(crew.owner, name=name, driver_id=crew.owner.member_id)
        stops = many_stops(crew, 500)
        plan_id = asked(crew)
        with CaptureQueriesContext(connection) as making_it:
            execute_plan_request(shop_id=crew.shop_id, plan_id=plan_id)
        plan = of(crew, plan_id)
        assert plan.state == "done", plan.error
        answer = parse(PlanAnswer, plan.answer)
        served = [stop.stop_id for run in answer.runs for stop in run.stops]
        assert sorted([*served, *(row.stop_id for row in answer.left_out)]) == sorted(stops)
        assert len(served) > 10
        # Each machine fits the deck alone; the day is too short, and the reason says so.
        assert {row.code for row in answer.left_out} <= {"shift", "window", "longest"}
        with CaptureQueriesContext(connection) as taking_it:
            do(crew.owner, take_plan, id=plan_id)
        with in_shop(crew.shop_id):
            assert set(Stop.objects.filter(state="planned").values_list("id", flat=True)) == set(served)
            assert Stop.objects.filter(state="asked").count() == 500 - len(served)
            assert Run.objects.count() == len(answer.runs)
    # Rows are read in bulk, so the number of queries does not grow with the number of stops.
    assert len([query for query in making_it if '"dispatch_stop"' in query["sql"]]) < 10
    assert len(taking_it) < 30 + 2 * len(served)


def test_a_plan_whose_rigs_are_both_taken_out_meanwhile_is_refused_whole(
    crew: Crew, monkeypatch: pytest.MonkeyPatch
) -> None:
    actor = crew.owner

    def search(*args: Any, **options: Any) -> Plan:
        for rig in rigs:
            do(actor, edit_rig, id=rig, base={"active": True}, set={"active": False})
        return plan_with_slack(*args, **options)

    with held_at(MORNING):
        a_yard(actor)
        rigs = [a_rig(actor, name=name) for name in ("Blue truck", "Red truck")]
        many_stops(crew, 12)
        plan_id = asked(crew)
        with monkeypatch.context() as patched:
            patched.setattr(plan_execution, "plan_with_slack", search)
            execute_plan_request(shop_id=crew.shop_id, plan_id=plan_id)
        with pytest.raises(Conflict) as refused:
            do(actor, take_plan, id=plan_id)
        assert (refused.value.code, [field.field for field in refused.value.fields]) == ("rig_missing", ["days"])
        again = asked(crew)
        execute_plan_request(shop_id=crew.shop_id, plan_id=again)
        assert (of(crew, again).state, unpack(of(crew, again).error)) == ("failed", refused.value.reason)
        with in_shop(crew.shop_id):
            assert not Run.objects.exists()
            assert set(Stop.objects.values_list("state", flat=True)) == {"asked"}
