"""Slack in the plans of a shop, and intervals that become narrower with the spread learned from its own stops."""

from datetime import UTC, date, datetime, timedelta
from math import log
from statistics import stdev
from uuid import UUID

import pytest

from shopapi.accounts.queries import system_actor
from shopapi.core.clock import held_at
from shopapi.core.ids import uuid7
from shopapi.core.rendering import with_words
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import PlanRequest, Stop, Yard
from shopapi.dispatch.rules.schemas.plan import PlanAnswer, PlannedRun
from shopapi.dispatch.services.learned_times import update_learned_times
from shopapi.dispatch.services.plan_execution import execute_plan_request
from shopapi.dispatch.services.plan_requests import request_plan
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.rigs import a_rig, a_stop, a_yard
from tests.factories.work import do

# A Tuesday in Chicago, six in the morning there; tomorrow is five hours behind UTC as well.
MORNING = datetime(2026, 5, 5, 11, 0, tzinfo=UTC)
TOMORROW = date(2026, 5, 6)
SEVEN = datetime(2026, 5, 6, 12, 0, tzinfo=UTC)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def a_visit(crew: Crew, lat: str, **more: object) -> UUID:
    customer = work.a_customer(crew.owner)
    site = work.a_site(crew.owner, customer, lat=lat, lon="-98.44")
    job = work.a_job(crew.owner, customer_id=customer, site_id=site)
    return a_stop(crew.owner, job, kind="visit", service_minutes=60, **more)


def planned(crew: Crew) -> PlannedRun:
    plan_id = do(crew.owner, request_plan, id=uuid7(), days=[TOMORROW], rounds=60).id
    execute_plan_request(shop_id=crew.shop_id, plan_id=plan_id)
    with in_shop(crew.shop_id):
        plan = PlanRequest.objects.get(id=plan_id)
    assert plan.state == "done", plan.error
    (run,) = parse(PlanAnswer, plan.answer).runs
    return run


def between(first: float, last: float) -> list[dict[str, datetime]]:
    """A window in hours after seven."""
    return [{"opens": SEVEN + timedelta(hours=first), "closes": SEVEN + timedelta(hours=last)}]


def test_nobody_is_planned_to_come_on_the_last_second(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        a_rig(crew.owner)
        first = a_visit(crew, "40.40", windows=between(1, 3))
        a_visit(crew, "40.45", windows=between(6, 8))
        run = planned(crew)
    closes = SEVEN + timedelta(hours=3)
    stop = next(stop for stop in run.stops if stop.stop_id == first)
    # By the timetable alone the rig would leave so late that it is there as the window closes: it waits at the next.
    assert timedelta(minutes=2) < closes - stop.arrives_at < timedelta(minutes=30)
    assert not [caution for caution in run.cautions if caution.code == "tight"]


def test_a_time_that_can_hardly_be_kept_is_said(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        a_rig(crew.owner)
        # Reached 38 minutes and a half after seven at the earliest, a minute before it shuts.
        stop = a_visit(crew, "40.40", windows=between(0, 0.66))
        run = planned(crew)
    (caution,) = [caution for caution in run.cautions if caution.code == "tight"]
    assert caution.stop_id == stop
    assert "more than a one in five chance" in with_words(caution).words


def test_the_spread_of_work_is_learned_from_nine_stops(crew: Crew) -> None:
    minutes = [58, 60, 61, 59, 62, 60, 57, 63, 60]
    with held_at(MORNING):
        a_yard(crew.owner)
        a_rig(crew.owner)
        for took in minutes[:-1]:
            _made(crew, took)
        a_visit(crew, "40.35")
        a_visit(crew, "40.36")
        assert _learned(crew)["visit_spread_permille"] is None
        before = planned(crew)
        _made(crew, minutes[-1])
        assert _learned(crew)["visit_spread_permille"] == round(1000 * stdev(log(took / 60) for took in minutes))
        after = planned(crew)
    wide, narrow = ((run.stops[1].arrives_to - run.stops[1].arrives_from).total_seconds() for run in (before, after))
    # An hour's work that misses by 46 % beside one that misses by 3 %.
    assert wide > 55 * 60
    assert narrow < 20 * 60


def _made(crew: Crew, took: int) -> None:
    """A visit that was made some days ago and took so many minutes."""
    stop = a_visit(crew, "40.35")
    left = MORNING - timedelta(days=2)
    with in_shop(crew.shop_id):
        Stop.objects.filter(id=stop).update(state="left", arrived_at=left - timedelta(minutes=took), left_at=left)


def _learned(crew: Crew) -> dict[str, int | None]:
    with in_shop(crew.shop_id):
        update_learned_times(actor=system_actor(crew.shop_id))
        learned: dict[str, int | None] = Yard.objects.get().learned
    return learned
