"""A no-show, a breakdown, an urgent call: the day is planned again automatically, and no machine is forgotten."""

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from shopapi.core.clock import held_at
from shopapi.core.errors import Conflict, Forbidden
from shopapi.core.ids import uuid7
from shopapi.core.models import Outbox
from shopapi.core.rendering import render, with_words
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import PlanRequest, Run, Stop
from shopapi.dispatch.queries.planning_input import load_planning_input
from shopapi.dispatch.services.breakdowns import repair_rig, report_breakdown
from shopapi.dispatch.services.plan_acceptance import take_plan
from shopapi.dispatch.services.plan_execution import execute_plan_request
from shopapi.dispatch.services.plan_requests import cancel_plan, request_plan
from shopapi.dispatch.services.run_progress import arrive_stop, fail_stop, leave_stop, start_run
from shopapi.dispatch.services.stops import ask_urgent_stop, move_stop
from shopapi.jobs.services import move_job
from shopapi.sync.rules.push import Push
from shopapi.sync.services.push import push_commands
from tests.dispatch.test_planning import MORNING, TODAY, TOMORROW, a_place, answer, of
from tests.factories.crews import Crew, open_crew
from tests.factories.refusals import refuses
from tests.factories.rigs import a_rig, a_run, a_stop, a_yard
from tests.factories.work import do

LATER = MORNING + timedelta(hours=2)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def a_ready_job(crew: Crew, number: int) -> UUID:
    job, _ = a_place(crew.owner, number)
    for stage in ("repair", "testing", "ready"):
        do(crew.owner, move_job, id=job, stage=stage)
    return job


def a_return(crew: Crew, number: int) -> UUID:
    return a_stop(crew.owner, a_ready_job(crew, number), kind="return")


def a_pickup(crew: Crew, number: int, **more: object) -> UUID:
    return a_stop(crew.owner, a_place(crew.owner, number)[0], **more)


def on_the_road(crew: Crew, *stops: UUID, **rig: object) -> tuple[UUID, UUID]:
    """The mechanic's rig and its run of today, which has begun."""
    rig_id = a_rig(crew.owner, driver_id=crew.mechanic.member_id, **rig)
    run_id = a_run(crew.owner, rig_id, *stops, day=TODAY)
    do(crew.mechanic, start_run, id=run_id, at=MORNING)
    return rig_id, run_id


def plans(crew: Crew) -> list[PlanRequest]:
    with in_shop(crew.shop_id):
        return list(PlanRequest.objects.order_by("created_at", "id"))


def made(crew: Crew, plan_id: UUID) -> PlanRequest:
    execute_plan_request(shop_id=crew.shop_id, plan_id=plan_id)
    found: PlanRequest = of(PlanRequest, crew, plan_id)
    return found


def rigs_of(plan: PlanRequest) -> dict[UUID, UUID]:
    return {stop.stop_id: run.rig_id for run in answer(plan).runs for stop in run.stops}


def fail(crew: Crew, stop: UUID, **more: object) -> UUID:
    again: UUID = uuid7()
    do(crew.mechanic, fail_stop, id=stop, at=MORNING, reason="nobody_home", again_id=again, **more)
    return again


def test_a_driver_takes_the_plan_that_follows_from_a_no_show_on_their_own_run(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        first, second, third = (a_pickup(crew, number) for number in (1, 2, 3))
        waits_for_the_office = a_pickup(crew, 4)
        _, run = on_the_road(crew, first, second, third, deck={"length_cm": 600, "width_cm": 200, "slots": 4})
        idle = a_rig(crew.owner, name="Red truck", driver_id=crew.owner.member_id)
        again = fail(crew, first)
        (plan,) = plans(crew)
        with in_shop(crew.shop_id):
            assert Outbox.objects.filter(task="dispatch.make_plan", args={"plan_id": str(plan.id)}).count() == 1
        assert (plan.cause, plan.from_now, plan.driver_id) == ("no_show", True, crew.mechanic.member_id)
        # A second report with more detail is the same no-show.
        do(crew.mechanic, fail_stop, id=first, at=MORNING, reason="gate_locked", plan_id=uuid7())
        assert len(plans(crew)) == 1
        done = made(crew, plan.id)
        assert (again in rigs_of(done), idle in rigs_of(done).values()) == (True, False)
        assert waits_for_the_office not in rigs_of(done)
        assert "waits for the office" in with_words(answer(done).remarks[0]).words
        assert [touched.driver_id for touched in answer(done).touches] == [crew.mechanic.member_id]
        do(crew.mechanic, take_plan, id=plan.id)
        assert of(Stop, crew, again).run_id == run


def test_what_changes_the_run_of_another_waits_for_the_office_and_says_so(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        # Nobody is there before the driver's shift is over: another rig has to go.
        opens = MORNING + timedelta(hours=9)
        late = a_pickup(crew, 1, windows=[{"opens": opens, "closes": opens + timedelta(hours=1)}])
        on_the_road(crew, late, a_pickup(crew, 2), shift_closes="14:00")
        red = a_rig(crew.owner, name="Red truck", driver_id=crew.owner.member_id)
        again = fail(crew, late)
        (plan,) = plans(crew)
        done = made(crew, plan.id)
        assert rigs_of(done)[again] == red
        assert done.driver_id is None
        with pytest.raises(Forbidden) as refused:
            do(crew.mechanic, take_plan, id=plan.id)
        assert "the run of Red truck too, so the office has to accept it" in render(refused.value.reason)
        do(crew.office, take_plan, id=plan.id)
        assert of(Run, crew, of(Stop, crew, again).run_id).rig_id == red


def test_a_driver_asks_for_their_own_today_alone(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        args: dict[str, Any] = {"days": [TODAY], "from_now": True}
        with refuses(Forbidden, "driver can have the rest of the day"):
            do(crew.mechanic, request_plan, id=uuid7(), **args)
        on_the_road(crew, a_pickup(crew, 1))
        mine = do(crew.mechanic, request_plan, id=uuid7(), **args)
        assert mine.driver_id == crew.mechanic.member_id
        for wrong in ({"days": [TODAY]}, {"days": [TOMORROW]}):
            with pytest.raises(Forbidden):
                do(crew.mechanic, request_plan, id=uuid7(), **wrong)
        theirs = do(crew.office, request_plan, id=uuid7(), days=[TOMORROW])
        with pytest.raises(Forbidden):
            do(crew.mechanic, cancel_plan, id=theirs.id)
        assert do(crew.mechanic, cancel_plan, id=mine.id).state == "cancelled"
        assert made(crew, theirs.id).state == "done"
        with refuses(Forbidden, "The office has to accept this plan"):
            do(crew.mechanic, take_plan, id=theirs.id)


def test_facts_that_come_in_one_go_or_twice_make_one_plan_of_the_last_of_them(crew: Crew) -> None:
    driver = crew.mechanic
    with held_at(MORNING):
        a_yard(crew.owner)
        first, second = a_pickup(crew, 1), a_pickup(crew, 2)
        on_the_road(crew, first, second, a_pickup(crew, 3))
        at = MORNING.isoformat()
        chunk = [
            {
                "id": str(uuid7()),
                "no": number,
                "name": "fail_stop",
                "args": {"id": str(stop), "at": at, "reason": "too_wet", "again_id": str(uuid7())},
                "wall": at,
            }
            for number, stop in enumerate((first, second), 1)
        ]
        push = parse(Push, {"device": str(driver.device_id), "sent_wall": at, "commands": chunk})
        outcomes = [[one.status for one in push_commands(actor=driver, data=push).results] for _ in range(2)]
        assert outcomes == [["applied", "applied"], ["duplicate", "duplicate"]]
        assert [(plan.state, plan.cause) for plan in plans(crew)] == [("cancelled", "no_show"), ("waiting", "no_show")]
        assert made(crew, plans(crew)[0].id).state == "cancelled"
        assert answer(made(crew, plans(crew)[1].id)).left_out == []


def test_what_a_phone_tells_of_yesterday_plans_no_day(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        stop = a_pickup(crew, 1)
        on_the_road(crew, stop)
    with held_at(MORNING + timedelta(days=1)):
        fail(crew, stop)
        assert plans(crew) == []


def test_no_machine_on_the_deck_of_a_rig_that_broke_down_is_forgotten(crew: Crew) -> None:
    driver = crew.mechanic
    with held_at(MORNING):
        a_yard(crew.owner)
        fetched, failed, ahead, open_one = a_pickup(crew, 1), a_return(crew, 2), a_return(crew, 3), a_pickup(crew, 4)
        deck = {"length_cm": 900, "width_cm": 200, "slots": 4}
        rig, run = on_the_road(crew, fetched, failed, ahead, open_one, deck=deck)
        spare = a_rig(crew.owner, name="Red truck", deck=deck)
        do(driver, arrive_stop, id=fetched, at=MORNING)
        do(driver, leave_stop, id=fetched, at=MORNING)
        again = fail(crew, failed)
    with held_at(LATER):
        do(driver, report_breakdown, id=rig, at=LATER, note="Belt", lat="40.3456", lon="-98.4000", place="Mill Road")
        assert of(Run, crew, run).state == "done"
        with in_shop(crew.shop_id):
            to_fetch = {stop.job_id: stop for stop in Stop.objects.filter(from_rig=rig)}
        assert set(to_fetch) == {of(Stop, crew, one).job_id for one in (fetched, failed, ahead)}
        for stop in to_fetch.values():
            assert (stop.kind, stop.state, stop.priority, stop.place) == ("pickup", "asked", "first", "Mill Road")
            assert [str(figure) for figure in stop.stands_at] == ["40.345600", "-98.400000"]
        assert [of(Stop, crew, one).state for one in (ahead, open_one)] == ["asked", "asked"]
        # Reported again, it is the same breakdown.
        do(driver, report_breakdown, id=rig, at=LATER, note="Belt, and a tire")
        with in_shop(crew.shop_id):
            places = Stop.objects.filter(from_rig=rig).values_list("place", flat=True)
        assert list(places) == ["Mill Road"] * 3
        # A place that is reported later moves the open pickups.
        do(driver, report_breakdown, id=rig, at=LATER, lat="40.3500", lon="-98.4100", place="Mill Road, by the bridge")
        with in_shop(crew.shop_id):
            positions = {(str(stop.lat), str(stop.lon), stop.place) for stop in Stop.objects.filter(from_rig=rig)}
        assert positions == {("40.350000", "-98.410000", "Mill Road, by the bridge")}
        plan = made(crew, plans(crew)[-1].id)
        assert [one.cause for one in plans(crew)].count("breakdown") == 1
        assert rigs_of(plan) == {one.id: spare for one in to_fetch.values()} | {open_one: spare}
        reasons = {row.stop_id: (row.code, with_words(row).words) for row in answer(plan).left_out}
        assert set(reasons) == {again, ahead}
        for code, words in reasons.values():
            assert code == "job_not_ready"
            assert "is on Blue truck, which broke down" in words
        with refuses(Forbidden, "Red truck"):
            do(driver, take_plan, id=plan.id)
        do(crew.office, take_plan, id=plan.id)
        # Once one is fetched and the other rig is home, its machine may go back.
        mine = to_fetch[of(Stop, crew, ahead).job_id]
        with in_shop(crew.shop_id):
            Stop.objects.filter(id=mine.id).update(state="left", left_at=LATER)
            Run.objects.filter(rig=spare).update(state="done")
            planning_model = load_planning_input(crew.owner, [TOMORROW], from_now=False, now=LATER).planning_model
        assert str(ahead) in {stop.key for stop in planning_model.able}
        # A rig that runs again brings home itself what nobody has fetched.
        do(driver, repair_rig, id=rig)
        with in_shop(crew.shop_id):
            states = sorted(Stop.objects.filter(from_rig=rig).values_list("state", flat=True))
        assert states == ["dropped", "dropped", "left"]


def test_a_rig_that_breaks_down_before_it_left_has_nothing_on_its_deck(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        rig = a_rig(crew.owner)
        run = a_run(crew.owner, rig, a_return(crew, 1), day=TODAY)
        do(crew.mechanic, report_breakdown, id=rig, at=MORNING)
        assert of(Run, crew, run).state == "cancelled"
        with in_shop(crew.shop_id):
            assert not Stop.objects.filter(from_rig=rig).exists()


def test_on_the_way_home_between_two_trips_the_deck_holds_the_first_one(crew: Crew) -> None:
    driver = crew.mechanic
    with held_at(MORNING):
        a_yard(crew.owner)
        first, second = a_pickup(crew, 2), a_return(crew, 3)
        rig, run = on_the_road(crew, first)
        do(crew.owner, move_stop, id=second, run_id=run, trip=1, position=0)
        do(driver, arrive_stop, id=first, at=MORNING)
        do(driver, leave_stop, id=first, at=MORNING)
        do(driver, report_breakdown, id=rig, at=MORNING + timedelta(minutes=2))
        with in_shop(crew.shop_id):
            (fetch,) = Stop.objects.filter(from_rig=rig)
            assert fetch.job_id == Stop.objects.get(id=first).job_id
            # Without a reported place: after its last stop.
            assert fetch.stands_at == Stop.objects.get(id=first).stands_at
            assert fetch.place.startswith("After ")


def test_what_could_not_be_handed_over_counts_on_the_deck_until_the_rig_was_at_the_shop(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        failed, heavy = a_return(crew, 1), a_pickup(crew, 2)
        deck = {"length_cm": 450, "width_cm": 200, "slots": 1}
        rig, run = on_the_road(crew, failed, heavy, deck=deck)
        again = fail(crew, failed)
        # It was on its way to fetch one, but has no place for it: home first, then both from there.
        plan = made(crew, plans(crew)[-1].id)
        (only,) = answer(plan).runs
        assert only.run_id == run
        assert {stop.stop_id: stop.trip > 0 for stop in only.stops} == {again: True, heavy: True}
        assert [caution.stop_id for caution in only.cautions if caution.code == "still_aboard"] == [failed]
        assert answer(plan).left_out == []
        with in_shop(crew.shop_id):
            planning_input = load_planning_input(crew.owner, [TODAY], from_now=True, now=MORNING)
        (position,) = planning_input.rig_positions.values()
        assert position.undelivered == {str(failed)}
        assert str(failed) in position.aboard
        # Only the rig that has the machine takes it out again.
        assert next(stop for stop in planning_input.planning_model.stops if stop.key == str(again)).pin_rig == str(rig)
        do(crew.mechanic, take_plan, id=plan.id)
        assert {of(Stop, crew, one).run_id for one in (again, heavy)} == {run}


def test_a_machine_still_aboard_leaves_no_place_for_another_on_the_same_trip(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        failed, visit = a_return(crew, 1), a_stop(crew.owner, a_place(crew.owner, 2)[0], kind="visit")
        on_the_road(crew, failed, visit, deck={"length_cm": 450, "width_cm": 200, "slots": 1})
        fail(crew, failed)
        near = a_pickup(crew, 3, priority="first")
        plan = made(crew, do(crew.owner, request_plan, id=uuid7(), days=[TODAY], from_now=True, rounds=60).id)
        trips = {stop.stop_id: stop.trip for run in answer(plan).runs for stop in run.stops}
        # It is on the way, but the one place on the deck is taken: it is fetched after the shop.
        assert trips[near] >= 1


def test_an_urgent_call_makes_the_stop_and_plans_it_in_one_change(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        on_the_road(crew, a_pickup(crew, 1))
        job, _ = a_place(crew.owner, 2)
        stop = do(crew.mechanic, ask_urgent_stop, id=uuid7(), job_id=job, kind="visit", notes="Pump on fire watch")
        assert (stop.priority, stop.promised_on, stop.notes) == ("first", TODAY, "Pump on fire watch")
        (plan,) = plans(crew)
        assert (plan.cause, plan.driver_id) == ("urgent", crew.mechanic.member_id)
        assert stop.id in rigs_of(made(crew, plan.id))
        do(crew.mechanic, take_plan, id=plan.id)
        assert of(Stop, crew, stop.id).state == "planned"
        with pytest.raises(Conflict):
            do(crew.mechanic, ask_urgent_stop, id=stop.id, job_id=job, kind="visit")
        assert len(plans(crew)) == 1
