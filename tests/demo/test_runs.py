"""The demo shop has a planned day: a run with a driver, map, deck and run sheet."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from shopapi.accounts.models import Member, Shop
from shopapi.accounts.queries import system_actor
from shopapi.billing.queries.comebacks import comebacks_report
from shopapi.core.tenancy import in_shop
from shopapi.demo.loader import load_scenario
from shopapi.demo.scenario import read_scenario
from shopapi.dispatch.models import PlanRequest, Run, Stop
from shopapi.dispatch.queries.planning_input import load_planning_input
from shopapi.jobs.models import Job
from shopapi.labor.queries.hours import period
from shopapi.machines.queries import services_of_machines
from shopapi.notices.models import Notice
from shopapi.parts.models import Supplier

FOLDER = Path(__file__).parents[2] / "fixtures" / "demo"
TODAY = date(2026, 5, 19)


@pytest.mark.usefixtures("db")
def test_demo_shop_has_todays_runs_planned_by_the_planner() -> None:
    load_scenario(read_scenario(FOLDER), today=TODAY)
    shop = Shop.objects.get()
    with in_shop(shop.id):
        # What was ready in the past leaves nobody a message to send, and the shop still sends them.
        assert not Notice.objects.filter(template="machine_ready").exists()
        assert shop.follow_ups["notify_ready"] is True
        plan = PlanRequest.objects.get()
        assert (plan.state, plan.error, plan.days) == ("done", "", [TODAY])
        assert plan.taken_at is not None
        runs = list(Run.objects.filter(day=TODAY, state="planned").select_related("driver", "rig"))
        drivers = {Member.objects.get(id=run.driver_id).name for run in runs if run.driver_id}
        assert drivers == {"Sunny Rao", "Marta Ellery"}
        blue = next(run for run in runs if run.driver.name == "Sunny Rao")
        stops = list(Stop.objects.filter(run=blue, state="planned").select_related("site"))
        kinds = set(Stop.objects.filter(run__in=runs, state="planned").values_list("kind", flat=True))
        assert kinds == {"pickup", "return", "visit"}
        assert all(stop.site.lat is not None and stop.arrives_at is not None for stop in stops)
        assert blue.decks
        assert all("<svg" in deck["svg"] and deck["message"] for deck in blue.decks)
        assert len(blue.legs) == len(stops) + len({stop.trip for stop in stops})
        # Tomorrow's stops are left unplanned, to try the planner.
        asked = load_planning_input(
            system_actor(shop.id), [date(2026, 5, 20)], from_now=False, now=blue.created_at
        ).planning_model.able
        assert len(asked) >= 3


@pytest.mark.usefixtures("db")
def test_demo_shop_has_a_comeback_a_supplier_to_drive_to_and_a_service_that_is_due() -> None:
    load_scenario(read_scenario(FOLDER), today=TODAY)
    shop = Shop.objects.get()
    with in_shop(shop.id):
        owner = system_actor(shop.id)
        (comeback,) = comebacks_report(owner, period(owner, TODAY - timedelta(days=60), TODAY)).comebacks
        again, first = (Job.objects.get(id=one) for one in (comeback.job_id, comeback.first_id))
        assert (again.mark, first.mark, again.machine_id == first.machine_id) == ("B-61", "B-23", True)
        assert comeback.clocked_seconds > 0
        assert comeback.parts_cost_minor == 2 * 745 + 2680
        # What a stop to fetch parts needs: where it is, and when it is open.
        assert Supplier.objects.filter(lat__isnull=False, lon__isnull=False).exclude(opens="").count() == 2
        due = {one.entry.words: one.forecast for one in services_of_machines(owner, TODAY)}
        assert due.keys() == {"Engine oil and filter", "Air filter"}
        assert due["Engine oil and filter"].due_on is not None
        assert due["Engine oil and filter"].due_on <= TODAY
