"""Stops that fetch parts at a supplier: asked for, planned within its hours, driven, with what came of its orders."""

import json
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest
from django.db import IntegrityError, transaction

from shopapi.core.clock import held_at, now
from shopapi.core.errors import Conflict, Invalid
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import Run, Stop
from shopapi.dispatch.queries.planning_input import PlanningInput, load_planning_input
from shopapi.dispatch.queries.stop_facts import opening_times
from shopapi.dispatch.rules.planning_model import FETCH_MINUTES
from shopapi.dispatch.services.hand_overs import hand_over
from shopapi.dispatch.services.run_progress import arrive_stop, fail_stop, leave_stop, start_run
from shopapi.dispatch.services.stops import ask_supplier_stop, edit_stop, tell_arrival
from shopapi.dispatch.services.travel_times import load_travel_matrices
from shopapi.parts.models import PartNeed, PartOrder, Supplier
from shopapi.parts.services.arrivals import record_part_arrival
from shopapi.parts.services.orders import add_part_order, add_part_order_line, note_part_order_sent
from shopapi.parts.services.suppliers import edit_supplier
from shopapi.planner.check import Schedule, check_route
from shopapi.planner.problem import TravelMatrix
from shopapi.planner.solver import Budget, solve
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.refusals import refuses
from tests.factories.rigs import a_rig, a_run, a_yard
from tests.factories.work import do, made

# A Tuesday, 6 in the morning in Chicago.
MORNING = datetime(2026, 5, 5, 11, 0, tzinfo=UTC)
TUESDAY, WEDNESDAY = date(2026, 5, 5), date(2026, 5, 6)
# Shared with the phone.
OPENING_TIMES = json.loads((Path(__file__).parents[2] / "fixtures" / "dispatch" / "opening_times.json").read_text())
PLACE = {"lat": "40.3400", "lon": "-98.4000", "address": "12 Mill Road"}


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def a_fetch(crew: Crew, **supplier: object) -> UUID:
    place = work.a_supplier(crew.owner, **PLACE | supplier)
    return made(crew.mechanic, ask_supplier_stop, id=uuid7(), supplier_id=place)


def planned_for(crew: Crew, day: date) -> PlanningInput:
    with in_shop(crew.shop_id):
        return load_planning_input(crew.owner, [day], from_now=False, now=now())


def a_sent_line(crew: Crew, supplier: UUID, need: UUID | None = None) -> tuple[UUID, UUID]:
    order = made(crew.office, add_part_order, id=uuid7(), supplier_id=supplier, mark="B-1")
    line = made(
        crew.office,
        add_part_order_line,
        id=uuid7(),
        order_id=order,
        need_id=need,
        description="Deck belt",
        quantity="2",
    )
    do(crew.office, note_part_order_sent, id=order, how="counter", sent_at=now())
    return order, line


@pytest.mark.parametrize("case", OPENING_TIMES["cases"], ids=lambda case: case["name"])
def test_the_hours_of_a_supplier(case: dict[str, Any]) -> None:
    supplier = Supplier(opens=case["opens"], closes=case["closes"], open_on=case["open_on"])
    found = opening_times(supplier, [date.fromisoformat(case["day"])], ZoneInfo(OPENING_TIMES["zone"]))
    assert found == tuple(tuple(map(datetime.fromisoformat, pair)) for pair in case["times"])


def test_a_stop_has_a_job_or_a_supplier_never_both(crew: Crew) -> None:
    stop = a_fetch(crew)
    with in_shop(crew.shop_id):
        row = Stop.objects.get(id=stop)
        assert (row.kind, row.job_id, row.site_id, row.place_name) == ("fetch", None, None, "Platte Valley Parts")
    customer = work.a_customer(crew.owner)
    site = work.a_site(crew.owner, customer)
    for wrong in ({"kind": "visit"}, {"supplier": None}, {"site": site}):
        with (
            pytest.raises(IntegrityError, match="stop_has_a_job_or_a_supplier"),
            in_shop(crew.shop_id),
            transaction.atomic(),
        ):
            Stop.objects.filter(id=stop).update(**wrong)


def test_it_is_planned_within_the_hours_of_its_supplier(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        a_rig(crew.owner)
        stop = a_fetch(crew, opens="09:00", closes="16:30", open_on=["wednesday", "thursday"], stop_minutes=25)
        known = planned_for(crew, WEDNESDAY)
        (facts,) = known.planning_model.stops
        assert (facts.minutes, facts.label, facts.place) == (25, "Platte Valley Parts", "Platte Valley Parts")
        problem = known.planning_model.problem(roads_of(known))
        (task,) = problem.stops
        assert [(one.opens, one.closes) for one in task.windows] == [(9 * 3600, 16 * 3600 + 1800)]
        assert (task.brings, task.takes, task.piece) == ((), (), None)
        plan = solve(problem, Budget(rounds=20), clock=lambda: 0.0)
        assert [route.trips for route in plan.routes] == [((str(stop),),)]
        checked = check_route(problem, plan.routes[0])
        assert isinstance(checked, Schedule)
        assert checked.visits[0].starts >= 9 * 3600
        # Closed on Tuesday: left out, with the day on which it is open again.
        (out,) = planned_for(crew, TUESDAY).planning_model.excluded
        assert (out.code, out.reason.context) == ("other_day", {"weekday": 2, "month": 5, "day": 6})


def roads_of(known: PlanningInput) -> tuple[TravelMatrix, TravelMatrix]:
    """The travel matrices without a map service."""
    model = known.planning_model
    return load_travel_matrices(model.yard.travel_profile, model.places)[0]


def test_a_supplier_of_which_nothing_is_known_is_open_and_one_without_a_place_is_left_out(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        a_rig(crew.owner)
        stop = a_fetch(crew)
        (facts,) = planned_for(crew, TUESDAY).planning_model.stops
        assert (facts.minutes, facts.windows) == (FETCH_MINUTES, ())
        nowhere = a_fetch(crew, name="Oakline", lat=None, lon=None)
        (out,) = planned_for(crew, TUESDAY).planning_model.excluded
        assert (out.stop, out.code) == (str(nowhere), "position_missing")
        assert stop != nowhere


def test_arrivals_at_the_stop_and_what_was_not_fetched_stays_open(crew: Crew) -> None:
    a_rig_id = a_rig(crew.owner)
    stop = a_fetch(crew)
    with in_shop(crew.shop_id):
        supplier = Stop.objects.get(id=stop).supplier_id
    assert supplier is not None
    job = work.a_job(crew.owner)
    need = work.a_part_need(crew.owner, job)
    order, line = a_sent_line(crew, supplier, need)
    run = a_run(crew.owner, a_rig_id, stop)
    do(crew.mechanic, start_run, id=run, at=now(), clock_id=uuid7())
    do(crew.mechanic, arrive_stop, id=stop, at=now(), run_id=run)
    do(crew.mechanic, record_part_arrival, id=uuid7(), order_line_id=line, quantity="1", arrived_at=now())
    do(crew.mechanic, leave_stop, id=stop, at=now())
    with in_shop(crew.shop_id):
        assert Stop.objects.get(id=stop).state == "left"
        # One of two came: the line, its order and the need stay open.
        assert PartOrder.objects.get(id=order).state == "sent"
        assert PartNeed.objects.get(id=need).state == "ordered"


def test_a_failed_stop_is_tried_again_at_the_same_supplier(crew: Crew) -> None:
    stop, again = a_fetch(crew), uuid7()
    run = a_run(crew.owner, a_rig(crew.owner), stop)
    do(crew.mechanic, start_run, id=run, at=now())
    do(crew.mechanic, fail_stop, id=stop, at=now(), reason="other", note="Closed for stock-taking", again_id=again)
    with in_shop(crew.shop_id):
        assert Stop.objects.get(id=again).supplier_id == Stop.objects.get(id=stop).supplier_id


def test_what_belongs_to_customers_is_refused(crew: Crew) -> None:
    stop = a_fetch(crew)
    site = work.a_site(crew.owner, work.a_customer(crew.owner))
    with refuses(Conflict, "no machine at this stop"):
        do(crew.mechanic, hand_over, id=uuid7(), stop_id=stop, at=now(), keys="One")
    with refuses(Conflict, "No customer waits"):
        do(crew.mechanic, tell_arrival, id=stop, opens=MORNING, closes=MORNING)
    with refuses(Invalid, "leave the site empty"):
        do(crew.mechanic, edit_stop, id=stop, set={"site_id": site}, base={"site_id": None})
    do(crew.mechanic, edit_stop, id=stop, set={"notes": "Back door"}, base={"notes": ""})
    with in_shop(crew.shop_id):
        supplier = Stop.objects.values_list("supplier_id", flat=True).get(id=stop)
    for field, before, after in (("lat", PLACE["lat"], None), ("opens", "", "09:00")):
        with pytest.raises(Invalid) as refused:
            do(crew.owner, edit_supplier, id=supplier, set={field: after}, base={field: before})
        assert [fault.field for fault in refused.value.fields] == ["lat" if field == "lat" else "closes"]


def test_a_run_is_checked_again_when_its_supplier_moves(crew: Crew) -> None:
    stop = a_fetch(crew)
    run = a_run(crew.owner, a_rig(crew.owner), stop)
    with in_shop(crew.shop_id):
        Run.objects.filter(id=run).update(cautions=[])
        supplier = Stop.objects.get(id=stop).supplier_id
    do(
        crew.owner,
        edit_supplier,
        id=supplier,
        set={"lat": "40.3500", "lon": "-98.4100"},
        base={"lat": "40.34", "lon": "-98.4"},
    )
    with in_shop(crew.shop_id):
        assert [one["code"] for one in Run.objects.get(id=run).cautions] == ["place_moved"]
