"""From new stops to runs: planned in a worker's steps, checked, accepted, and refusals."""

from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest

from shopapi.accounts.queries import system_actor
from shopapi.core.clock import held_at, now
from shopapi.core.errors import Conflict, Invalid
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent, Outbox
from shopapi.core.rendering import render, show_stored, with_words
from shopapi.core.schema import parse, to_json
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Site
from shopapi.customers.services import edit_site
from shopapi.dispatch.models import PlanRequest, Run, Stop
from shopapi.dispatch.rules.schemas.plan import PlanAnswer
from shopapi.dispatch.rules.schemas.run import CautionRow
from shopapi.dispatch.services import plan_execution
from shopapi.dispatch.services.plan_acceptance import take_plan
from shopapi.dispatch.services.plan_execution import execute_plan_request, give_up_plans
from shopapi.dispatch.services.plan_requests import cancel_plan, request_plan
from shopapi.dispatch.services.rigs import edit_rig
from shopapi.dispatch.services.run_metrics import recompute_run_metrics
from shopapi.dispatch.services.run_progress import arrive_stop, fail_stop, leave_stop, start_run
from shopapi.dispatch.services.stops import ask_stop, edit_stop, lock_run, move_stop, pin_stop, tell_arrival
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.refusals import refuses
from tests.factories.rigs import a_rig, a_run, a_stop, a_yard
from tests.factories.work import do

# A Tuesday in Chicago, six in the morning there.
MORNING = datetime(2026, 5, 5, 11, 0, tzinfo=UTC)
TODAY = date(2026, 5, 5)
TOMORROW = date(2026, 5, 6)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def a_place(actor: Any, number: int, **more: object) -> tuple[UUID, UUID]:
    """A job of a new customer and its site, each some kilometres further from the yard."""
    customer = work.a_customer(actor, name=f"Customer {number}")
    site = work.a_site(actor, customer, lat=f"{40.30 + number * 0.03:.4f}", lon=f"{-98.44 + (number % 3) * 0.04:.4f}")
    machine = work.a_machine(actor, customer, **{"mass_kg": 250, "length_cm": 180, "width_cm": 110, **more})
    return work.a_job(actor, customer_id=customer, machine_id=machine, site_id=site), site


def move_site(crew: Crew, site_id: UUID, lat: str | None, lon: str | None) -> None:
    with in_shop(crew.shop_id):
        Site.objects.filter(id=site_id).update(lat=lat, lon=lon)


def planned(crew: Crew, *days: date, **more: object) -> PlanRequest:
    """A plan that was requested and made, limited by rounds, so that it is the same each time."""
    args = {"id": uuid7(), "days": list(days) or [TOMORROW], "rounds": 60, **more}
    plan_id = do(crew.owner, request_plan, **args).id
    execute_plan_request(shop_id=crew.shop_id, plan_id=plan_id)
    with in_shop(crew.shop_id):
        return PlanRequest.objects.get(id=plan_id)


def answer(plan: PlanRequest) -> PlanAnswer:
    assert plan.state == "done", plan.error
    return parse(PlanAnswer, plan.answer)


def of(model: Any, crew: Crew, row_id: UUID) -> Any:
    with in_shop(crew.shop_id):
        return model.objects.get(id=row_id)


def test_a_day_is_planned_proven_and_taken(crew: Crew) -> None:
    actor = crew.owner
    with held_at(MORNING):
        a_yard(actor)
        rigs = {a_rig(actor, driver_id=actor.member_id), a_rig(actor, name="Red truck")}
        stops = [a_stop(actor, a_place(actor, number)[0]) for number in range(4)]
        first, again = planned(crew), planned(crew)
        assert replace_ids(answer(first)) == replace_ids(answer(again))
        plan = answer(first)
        assert (plan.proven, plan.complete, plan.roads, plan.left_out) == (True, True, "rule", [])
        assert {stop.stop_id for run in plan.runs for stop in run.stops} == set(stops)
        taken = do(actor, take_plan, id=first.id)
        assert taken.taken_at == MORNING
        with in_shop(crew.shop_id):
            runs = list(Run.objects.all())
            assert {(run.day, run.state) for run in runs} == {(TOMORROW, "planned")}
            assert {run.rig_id for run in runs} <= rigs
            for stop in Stop.objects.all():
                assert stop.state == "planned"
                assert stop.arrives_from
                assert stop.arrives_at
                assert stop.arrives_to
                assert stop.arrives_from <= stop.arrives_at <= stop.arrives_to
        # Two planners at once: the second plan is outdated and is refused.
        with pytest.raises(Conflict) as refused:
            do(actor, take_plan, id=again.id)
        assert refused.value.code == "plan_outdated"
        assert "the run of Blue truck" in render(refused.value.reason)


def replace_ids(plan: PlanAnswer) -> list[Any]:
    return [run.model_copy(update={"run_id": None}) for run in plan.runs]


def test_what_cannot_be_planned_is_named_and_the_rest_is_planned(crew: Crew) -> None:
    actor = crew.owner
    with held_at(MORNING):
        a_yard(actor)
        a_rig(actor)
        good = a_stop(actor, a_place(actor, 1)[0])
        nowhere_job, nowhere = a_place(actor, 3)
        move_site(crew, nowhere, None, None)
        away_job, away = a_place(actor, 4)
        move_site(crew, away, "-33.8", "151.2")
        opens = datetime(2026, 5, 6, 3, 0, tzinfo=UTC)
        wrong = {
            "position_missing": a_stop(actor, nowhere_job),
            "position_far": a_stop(actor, away_job),
            "load": a_stop(actor, a_place(actor, 5, mass_kg=2400)[0]),
            "job_not_ready": a_stop(actor, a_place(actor, 6)[0], kind="return"),
            "window": a_stop(
                actor, a_place(actor, 7)[0], windows=[{"opens": opens, "closes": opens + timedelta(hours=3)}]
            ),
            "access": a_stop(actor, a_place(actor, 8)[0], needs=["winch"]),
        }
        plan = answer(planned(crew))
        assert {row.code: row.stop_id for row in plan.left_out} == wrong
        assert all(with_words(row).words for row in plan.left_out)
        assert [stop.stop_id for run in plan.runs for stop in run.stops] == [good]
        assert (plan.complete, plan.proven) == (False, False)


def test_there_is_no_plan_without_a_yard_a_rig_or_a_day(crew: Crew) -> None:
    actor = crew.owner
    with held_at(MORNING):
        assert "Set the yard first" in show_stored(planned(crew).error)
        a_yard(actor)
        assert "no rig" in show_stored(planned(crew).error)
        a_rig(actor)
        empty = answer(planned(crew))
        assert (empty.runs, empty.left_out, empty.complete) == ([], [], True)
        for days, code in (([date(2026, 5, 4)], "day_over"), ([TOMORROW, TOMORROW], "day_twice")):
            with pytest.raises(Invalid) as refused:
                do(actor, request_plan, id=uuid7(), days=days)
            assert refused.value.fields[0].code == code


def test_pins_locks_promises_and_waiting_are_kept(crew: Crew) -> None:
    actor = crew.owner
    noon = datetime(2026, 5, 6, 17, 0, tzinfo=UTC)
    with held_at(MORNING):
        a_yard(actor)
        blue, red, gray = a_rig(actor), a_rig(actor, name="Red truck"), a_rig(actor, name="Gray truck")
        timed, red_one, last, promised, locked, later = (
            a_stop(actor, a_place(actor, number)[0]) for number in range(6)
        )
        do(actor, pin_stop, id=timed, at=noon)
        do(actor, pin_stop, id=red_one, rig_id=red)
        do(actor, pin_stop, id=last, after_id=red_one)
        do(actor, tell_arrival, id=promised, opens=noon + timedelta(hours=2), closes=noon + timedelta(hours=3))
        do(actor, lock_run, id=a_run(actor, gray, locked, day=TOMORROW))
        do(actor, edit_stop, id=later, base={"earliest_on": None}, set={"earliest_on": "2026-05-09"})
        with refuses(Invalid, "each set to come after the other"):
            do(actor, pin_stop, id=red_one, rig_id=red, after_id=last)
        plan = answer(planned(crew))
        (waiting,) = plan.left_out
        assert (waiting.stop_id, waiting.code) == (later, "too_early")
        assert with_words(waiting).words == "Not before Saturday, May 9."
        assert plan.complete
        found = {stop.stop_id: (run.rig_id, stop) for run in plan.runs for stop in run.stops}
        assert set(found) == {timed, red_one, last, promised}
        assert found[timed][1].starts_at == noon
        assert found[red_one][0] == found[last][0] == red
        assert found[red_one][1].starts_at < found[last][1].starts_at
        assert noon + timedelta(hours=2) <= found[promised][1].starts_at <= noon + timedelta(hours=3)
        assert blue
        # A week: the one that may not be made before Saturday is made on that day.
        week = answer(planned(crew, *(TODAY + timedelta(days=days) for days in range(1, 5))))
        days = {stop.stop_id: run.day for run in week.runs for stop in run.stops}
        assert days[later] == date(2026, 5, 9)


def test_the_rest_of_a_day_is_planned_from_where_the_rig_is(crew: Crew) -> None:
    actor = crew.owner
    with held_at(MORNING):
        a_yard(actor)
        rig = a_rig(actor, driver_id=actor.member_id)
        first, second, third = stops = [a_stop(actor, a_place(actor, number)[0]) for number in range(1, 4)]
        run = a_run(actor, rig, *stops, day=TODAY)
        do(actor, start_run, id=run, at=MORNING + timedelta(hours=1))
    with held_at(MORNING + timedelta(hours=2)):
        do(actor, arrive_stop, id=first, at=MORNING + timedelta(hours=2), run_id=run)
        do(actor, leave_stop, id=first, at=MORNING + timedelta(hours=2, minutes=20))
    with held_at(MORNING + timedelta(hours=3)):
        plan_id, again = uuid7(), uuid7()
        failed = do(
            actor,
            fail_stop,
            id=second,
            at=MORNING + timedelta(hours=3),
            reason="nobody_home",
            again_id=again,
            plan_id=plan_id,
        )
        assert (failed.state, of(Stop, crew, third).state, of(Stop, crew, again).state) == (
            "failed",
            "driving",
            "asked",
        )
        with in_shop(crew.shop_id):
            assert Outbox.objects.filter(task="dispatch.make_plan", args={"plan_id": str(plan_id)}).count() == 1
        execute_plan_request(shop_id=crew.shop_id, plan_id=plan_id)
        plan = of(PlanRequest, crew, plan_id)
        assert (plan.cause, plan.days, plan.from_now) == ("no_show", [TODAY], True)
        assert answer(plan).left_out == []
        (only,) = answer(plan).runs
        # What the truck is heading for stays; only the one that is tried again is planned, on the same run.
        assert (only.run_id, [stop.stop_id for stop in only.stops]) == (run, [again])
        assert only.stops[0].arrives_at > MORNING + timedelta(hours=3)
        do(actor, take_plan, id=plan_id)
        order = [of(Stop, crew, one) for one in (first, second, third, again)]
        # Its deck holds two: the third machine is fetched on a trip of its own.
        assert [(one.run_id, one.trip, one.position) for one in order] == [
            (run, 0, 0),
            (run, 0, 1),
            (run, 0, 2),
            (run, 1, 0),
        ]
        assert of(Stop, crew, again).state == "planned"


def test_a_plan_is_refused_whole_when_a_rig_was_taken_out_meanwhile(crew: Crew) -> None:
    actor = crew.owner
    with held_at(MORNING):
        a_yard(actor)
        rig = a_rig(actor)
        stop = a_stop(actor, a_place(actor, 2)[0])
        plan = planned(crew)
        assert [one.stop_id for run in answer(plan).runs for one in run.stops] == [stop]
        do(actor, edit_rig, id=rig, base={"active": True}, set={"active": False})
        with refuses(Conflict, r"changed|no rig"):
            do(actor, take_plan, id=plan.id)
        assert of(Stop, crew, stop).state == "asked"
        with in_shop(crew.shop_id):
            assert not Run.objects.exists()


def test_days_on_which_clocks_change_have_the_hours_that_they_have(crew: Crew) -> None:
    """Chicago goes from 02:00 CST to 03:00 CDT on 8 March 2026, and back on 1 November (US law, 15 USC 260a)."""
    actor = crew.owner
    with held_at(datetime(2026, 3, 1, 12, 0, tzinfo=UTC)):
        a_yard(actor, opens="00:00", closes="23:59")
        a_rig(actor, shift_opens="00:30", shift_closes="22:00")
        job, _ = a_place(actor, 1)
        opens = datetime(2026, 3, 8, 15, 0, tzinfo=UTC)
        stop = a_stop(actor, job, windows=[{"opens": opens, "closes": opens + timedelta(minutes=10)}])
        (run,) = answer(planned(crew, date(2026, 3, 8))).runs
        assert run.stops[0].stop_id == stop
        assert opens <= run.stops[0].starts_at <= opens + timedelta(minutes=10)


def test_a_plan_can_be_stopped_and_a_lost_one_is_given_up(crew: Crew) -> None:
    actor = crew.owner
    stopped, lost = (do(actor, request_plan, id=uuid7(), days=[date(2030, 1, 2)]).id for _ in range(2))
    do(actor, cancel_plan, id=stopped)
    execute_plan_request(shop_id=crew.shop_id, plan_id=stopped)
    assert of(PlanRequest, crew, stopped).state == "cancelled"
    with in_shop(crew.shop_id):
        assert give_up_plans(actor=actor, before=now() + timedelta(minutes=1)) == 1
    assert of(PlanRequest, crew, lost).state == "failed"
    assert "Ask for it again" in show_stored(of(PlanRequest, crew, lost).error)
    with pytest.raises(Conflict):
        do(actor, take_plan, id=lost)


def test_an_urgent_call_is_planned_in_one_command(crew: Crew) -> None:
    actor, plan_id = crew.mechanic, uuid7()
    job, _ = a_place(actor, 1)
    stop = do(actor, ask_stop, id=uuid7(), job_id=job, kind="pickup", priority="first", plan_id=plan_id)
    assert of(PlanRequest, crew, plan_id).cause == "urgent"
    assert stop.state == "asked"


def test_a_stop_moved_by_hand_stands_where_it_was_put(crew: Crew) -> None:
    actor = crew.mechanic
    a_yard(crew.owner)
    rig = a_rig(crew.owner)
    first, second, third = (a_stop(actor, a_place(actor, number)[0]) for number in range(3))
    run = a_run(actor, rig, first, second, third)
    do(actor, move_stop, id=third, run_id=run, trip=0, position=0)
    with in_shop(crew.shop_id):
        assert list(Stop.objects.order_by("position").values_list("id", flat=True)) == [third, first, second]
        assert AuditEvent.objects.filter(event="stop moved").count() == 4
    do(actor, move_stop, id=first)
    assert of(Stop, crew, first).state == "asked"


def test_a_second_trip_by_hand_is_checked_and_each_drive_of_it_has_its_interval(crew: Crew) -> None:
    actor = crew.owner
    with held_at(MORNING):
        a_yard(actor)
        stops = [a_stop(actor, a_place(actor, number)[0]) for number in range(3)]
        run_id = a_run(actor, a_rig(actor), *stops, day=TOMORROW)

        def figured() -> Run:
            with in_shop(crew.shop_id):
                recompute_run_metrics(actor=actor, run_id=run_id)
                return Run.objects.get(id=run_id)

        # Its deck has two places.
        assert [caution["code"] for caution in figured().cautions] == ["load"]
        do(crew.mechanic, move_stop, id=stops[2], run_id=run_id, trip=1, position=0)
        run = figured()
        assert "load" not in [caution["code"] for caution in run.cautions]
        homeward = [None, None]
        assert [(leg["trip"], leg["leg"]) for leg in run.legs] == [(0, 0), (0, 1), (0, 2), (1, 0), (1, 1)]
        assert [leg["stop_id"] for leg in run.legs if leg["stop_id"] is None] == homeward
        assert sum(leg["metres"] for leg in run.legs) == run.metres
        # The rule's own interval while nothing is learned: three quarters of the time to one and a half of it.
        for leg in run.legs:
            assert leg["low_seconds"] == leg["seconds"] * 3 // 4
            assert leg["high_seconds"] == -(-leg["seconds"] * 3 // 2)


def test_a_corrected_place_has_its_run_checked_again(crew: Crew) -> None:
    actor = crew.owner
    with held_at(MORNING):
        a_yard(actor)
        places = [a_place(actor, number) for number in range(1, 3)]
        stops = [a_stop(actor, job) for job, _ in places]
        run_id = a_run(actor, a_rig(actor), *stops, day=TOMORROW)

        def computed() -> Run:
            with in_shop(crew.shop_id):
                recompute_run_metrics(actor=actor, run_id=run_id)
                Outbox.objects.filter(task="dispatch.recompute_run").update(done_at=now())
                return Run.objects.get(id=run_id)

        def corrected(lat: str) -> Run:
            with in_shop(crew.shop_id):
                site = Site.objects.get(id=places[0][1])
            base = {"lat": to_json(site.lat), "lon": to_json(site.lon)}
            do(crew.mechanic, edit_site, id=site.id, base=base, set={"lat": lat, "lon": base["lon"]})
            found: Run = of(Run, crew, run_id)
            return found

        before = computed()
        run = corrected("40.500001")
        assert [(caution["code"], caution["stop_id"]) for caution in run.cautions] == [("place_moved", str(stops[0]))]
        assert run.legs == []
        with in_shop(crew.shop_id):
            assert Outbox.objects.filter(task="dispatch.recompute_run", done_at=None).count() == 1
        after = computed()
        assert after.metres != before.metres
        assert "place_moved" not in [caution["code"] for caution in after.cautions]
        # A locked run keeps its figures and says that they are no longer right; once, however often it is corrected.
        do(actor, lock_run, id=run_id)
        corrected("40.51")
        run = corrected("40.52")
        assert [caution["code"] for caution in run.cautions].count("place_moved") == 1
        assert run.legs == after.legs


def test_another_edit_of_a_place_leaves_its_run(crew: Crew) -> None:
    actor = crew.owner
    job, site = a_place(actor, 1)
    with held_at(MORNING):
        run_id = a_run(actor, a_rig(actor), a_stop(actor, job), day=TOMORROW)
    with in_shop(crew.shop_id):
        Run.objects.filter(id=run_id).update(cautions=[])
    do(actor, edit_site, id=site, base={"access_notes": ""}, set={"access_notes": "Geese."})
    assert of(Run, crew, run_id).cautions == []


def test_an_order_by_hand_is_checked_by_the_rules_of_plans(crew: Crew) -> None:
    actor = crew.owner
    with held_at(MORNING):
        a_yard(actor)
        rig = a_rig(actor)
        first, second, third = (a_stop(actor, a_place(actor, number)[0]) for number in range(1, 4))
        run = a_run(actor, rig, first, second, day=TOMORROW)
        with in_shop(crew.shop_id):
            assert Outbox.objects.filter(task="dispatch.recompute_run", done_at=None).count() == 1
            recompute_run_metrics(actor=system_actor(crew.shop_id), run_id=run)
        figured = of(Run, crew, run)
        assert (
            figured.leaves_at < of(Stop, crew, first).arrives_at < of(Stop, crew, second).arrives_at < figured.home_at
        )
        assert figured.metres > 0
        # A third machine on a deck for two.
        do(actor, move_stop, id=third, run_id=run, trip=0, position=2)
        with in_shop(crew.shop_id):
            recompute_run_metrics(actor=system_actor(crew.shop_id), run_id=run)
        (caution,) = of(Run, crew, run).cautions
        assert (caution["code"], caution["stop_id"]) == ("load", str(third))
        assert "would need 213 in of deck; it has 197 in" in with_words(parse(CautionRow, caution)).words
        assert of(Stop, crew, third).arrives_at is None


def test_a_first_answer_that_passed_the_check_is_stored_while_the_search_goes_on(
    crew: Crew, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a day with lunch, trailer and straps, which the search alone knows nothing of."""
    stored: list[PlanAnswer | None] = []
    note = plan_execution.PlanRun.note

    def noted(job: Any, permille: int, answer: PlanAnswer | None) -> bool:
        stored.append(answer)
        return note(job, permille, answer)

    monkeypatch.setattr(plan_execution.PlanRun, "note", noted)
    actor = crew.owner
    with held_at(MORNING):
        a_yard(actor)
        trailer = {"empty_kg": 520, "tongue_kg": 62, "axle_cm": 360, "deck_cm": 125, "gvwr_kg": 2000}
        lunch = [{"opens": "11:30", "closes": "13:00", "minutes": 30}]
        for name in ("Blue truck", "Red truck"):
            a_rig(actor, name=name, trailer=trailer, breaks=lunch, straps=10)
        for number in range(12):
            a_stop(actor, a_place(actor, number % 7)[0], kind="visit" if number % 3 == 0 else "pickup")
        plan = planned(crew, rounds=30)
    first = next(answer for answer in stored if answer is not None)
    assert any(run.stops for run in first.runs)
    # The kept one is at least as good, whatever was shown on the way.
    assert sum(len(run.stops) for run in answer(plan).runs) >= sum(len(run.stops) for run in first.runs)
