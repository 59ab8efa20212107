"""Every stop that a plan does not serve has a reason as text, for random stops."""

from datetime import UTC, date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shopapi.core.errors import Reason
from shopapi.core.rendering import with_words
from shopapi.dispatch.rules.left_out import left_out_rows
from shopapi.dispatch.rules.plan_view import RunStart, planned_runs
from shopapi.dispatch.rules.planning_model import MachineSize, PlanningModel, PlanningRig, PlanningStop, PlanningYard
from shopapi.dispatch.rules.schemas.rig import BreakFields, DeckFields, TrailerFields
from shopapi.planner.check import check_plan
from shopapi.planner.geodesics import Position
from shopapi.planner.loading.tie_downs import TieDown
from shopapi.planner.plan import plan_with_slack
from shopapi.planner.problem import Route
from shopapi.planner.solver import Budget
from shopapi.planner.travel import TravelProfile, estimate_matrix

DAYS = (date(2026, 5, 5), date(2026, 5, 6))
# From the day before the planned ones to the day after them.
MIDNIGHT = datetime(2026, 5, 4, tzinfo=UTC)
YARD = PlanningYard(Position(40.3, -98.44), "07:00", "18:00", 10, (0.1, 0.15), 4, TravelProfile())
DAY = st.sampled_from([None, *(date(2026, 5, day) for day in range(3, 9))])


def rig(number: int, *, out: bool, slots: int) -> PlanningRig:
    return PlanningRig(
        key=f"00000000-0000-7000-8000-00000000000{number}",
        name=f"Rig {number}",
        home=None,
        crew=1,
        payload_kg=900,
        deck=DeckFields(length_cm=400, width_cm=200, slots=slots),
        trailer=TrailerFields(empty_kg=500, tongue_kg=60, axle_cm=360, deck_cm=120) if number == 2 else None,
        truck=None,
        winch=False,
        ramp_length_cm=None,
        straps=None if number == 1 else 5,
        strap=None if number == 1 else TieDown((100,), crosses=True),
        shift_opens="07:00",
        shift_closes="12:00",
        breaks=(BreakFields(opens="09:00", closes="10:30", minutes=20),) if number == 1 else (),
        out=out,
    )


windows = st.tuples(st.integers(0, 95), st.integers(1, 8)).map(
    lambda window: (MIDNIGHT + timedelta(hours=window[0]), MIDNIGHT + timedelta(hours=sum(window)))
)


@st.composite
def a_stop(draw: st.DrawFn, number: int) -> PlanningStop:
    place = st.sampled_from([None, Position(40.31, -98.4), Position(40.6, -98.0), Position(-33.8, 151.2)])
    return PlanningStop(
        key=f"00000000-0000-7000-8000-0000000001{number:02}",
        label=f"J-{number}",
        kind=draw(st.sampled_from(["pickup", "return", "visit"])),
        site=str(number),
        place=f"Site {number}",
        position=draw(place),
        windows=tuple(draw(st.lists(windows, max_size=2))),
        minutes=draw(st.sampled_from([15, 90, 400])),
        needs=draw(st.sampled_from([(), ("winch",)])),
        priority=draw(st.sampled_from(["usual", "soon", "first"])),
        earliest_on=draw(DAY),
        promised_on=draw(DAY),
        wait_until=draw(DAY),
        by_daylight=draw(st.booleans()),
        pin_rig=draw(st.sampled_from([None, None, rig(1, out=False, slots=1).key])),
        pin_at=draw(st.one_of(st.none(), st.none(), windows.map(lambda window: window[0]))),
        pin_after=None,
        promise=draw(st.one_of(st.none(), st.none(), windows)),
        size=draw(
            st.sampled_from(
                [MachineSize(), MachineSize(mass_kg=300, length_cm=180), MachineSize(mass_kg=1200, length_cm=500)]
            )
        ),
        waits=draw(st.sampled_from([None, None, Reason("job_not_ready", {"job": "J-1", "stage": "repair"})])),
    )


@given(st.data())
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
def test_each_stop_is_served_or_has_its_reason(data: st.DataObject) -> None:
    count = data.draw(st.integers(0, 6))
    stops = tuple(data.draw(a_stop(number)) for number in range(count))
    rigs = tuple(rig(number, out=data.draw(st.booleans()), slots=number) for number in (1, 2))
    planning_model = PlanningModel(yard=YARD, rigs=rigs, stops=stops, days=DAYS, zone=ZoneInfo("America/Chicago"))
    problem = planning_model.problem((estimate_matrix(YARD.travel_profile, planning_model.places, trailer=True),) * 2)
    plan = plan_with_slack(problem, Budget(seconds=None, rounds=5), planning_model.spread)
    served = {key for route in plan.routes for key in route.keys}
    reasons = {
        str(row.stop_id): with_words(row) for row in left_out_rows(planning_model, list(plan.left_out), pounds=False)
    }
    assert served | reasons.keys() == {stop.key for stop in stops}
    assert not served & reasons.keys()
    assert all(row.code and row.words[-1] in ".?" and "{" not in row.words for row in reasons.values())
    # And what is served passes the check.
    result = check_plan(problem, tuple(Route(route.rig, route.trips) for route in plan.routes))
    assert all(violation.code == "left_out" for violation in result.violations)
    # Each stop that is served has its interval, and it is planned within it.
    begins = {each.key: RunStart(UUID(int=number)) for number, each in enumerate(problem.rigs)}
    runs = planned_runs(planning_model, problem, result, begins, pounds=True)
    assert {str(stop.stop_id) for run in runs for stop in run.stops} == served
    for run in runs:
        assert run.leaves_at <= run.stops[0].arrives_at
        for stop in run.stops:
            assert stop.arrives_from <= stop.arrives_at <= stop.arrives_to
            assert stop.arrives_at <= stop.starts_at <= stop.leaves_at <= run.home_at
