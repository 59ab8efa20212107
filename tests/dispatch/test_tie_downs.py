"""The shop's own tie-downs, measures as typed, rigs without a trailer: from the fields to the plan's texts."""

from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID

import pytest

from shopapi.core.clock import held_at
from shopapi.core.ids import uuid7
from shopapi.core.rendering import with_words
from shopapi.core.schema import parse, to_json
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.models import PlanRequest, Rig, Run
from shopapi.dispatch.rules.schemas.plan import PlanAnswer, PlannedRun
from shopapi.dispatch.rules.schemas.rig import RigRow
from shopapi.dispatch.rules.schemas.run import CautionRow
from shopapi.dispatch.services.plan_execution import execute_plan_request
from shopapi.dispatch.services.plan_requests import request_plan
from shopapi.dispatch.services.rigs import edit_rig
from shopapi.dispatch.services.run_metrics import recompute_run_metrics
from shopapi.machines.models import Machine
from shopapi.machines.rules import MachineRow
from shopapi.machines.services import edit_machine
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.rigs import a_rig, a_run, a_stop, a_yard
from tests.factories.work import do

# A Tuesday in Chicago, six in the morning there.
MORNING = datetime(2026, 5, 5, 11, 0, tzinfo=UTC)
TOMORROW = date(2026, 5, 6)
THOUSAND = {"mass_kg": 454, "mass_typed": "1000 lb", "length_cm": 152, "length_typed": "5 ft", "width_cm": 110}


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def pickups(crew: Crew, count: int, **size: object) -> list[UUID]:
    """Stops that fetch machines of one size, each a little further from the yard."""
    found = []
    for number in range(count):
        customer = work.a_customer(crew.owner, name=f"Customer {number}")
        site = work.a_site(crew.owner, customer, lat=f"{40.33 + number * 0.02:.4f}", lon="-98.44")
        machine = work.a_machine(crew.owner, customer, **size)
        job = work.a_job(crew.owner, customer_id=customer, machine_id=machine, site_id=site)
        found.append(a_stop(crew.owner, job))
    return found


def planned(crew: Crew) -> PlanAnswer:
    plan_id = do(crew.owner, request_plan, id=uuid7(), days=[TOMORROW], rounds=60).id
    execute_plan_request(shop_id=crew.shop_id, plan_id=plan_id)
    with in_shop(crew.shop_id):
        plan = PlanRequest.objects.get(id=plan_id)
    assert plan.state == "done", plan.error
    return parse(PlanAnswer, plan.answer)


def trips_of(run: PlannedRun) -> int:
    return len({stop.trip for stop in run.stops})


def words_of(run: PlannedRun) -> dict[str, str]:
    return {caution.code: with_words(caution).words for caution in run.cautions}


def by_hand(crew: Crew, rig_id: UUID, stops: list[UUID]) -> list[dict[str, Any]]:
    run_id = a_run(crew.owner, rig_id, *stops, day=TOMORROW)
    with in_shop(crew.shop_id):
        recompute_run_metrics(actor=crew.owner, run_id=run_id)
        return [to_json(with_words(parse(CautionRow, one))) for one in Run.objects.get(id=run_id).cautions]


def test_two_tie_downs_a_machine_make_one_trip_of_two(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner, least_tie_downs=2)
        a_rig(crew.owner, straps=4)
        pickups(crew, 2, mass_kg=250, length_cm=140, width_cm=110)
        (run,) = planned(crew).runs
    assert trips_of(run) == 1
    assert words_of(run)["tie_downs"] == "The fullest leg needs 4 tie-downs; the rig carries 4. Check local rules."


def test_six_tie_downs_a_machine_are_too_many_for_eight_aboard(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner, least_tie_downs=6)
        rig_id = a_rig(crew.owner, straps=8)
        stops = pickups(crew, 2, mass_kg=250, length_cm=140, width_cm=110)
        (run,) = planned(crew).runs
        (caution, *_) = by_hand(crew, rig_id, stops)
    assert trips_of(run) == 2
    assert caution["code"] == "straps"
    assert "12 tie-downs are needed" in caution["words"]
    assert "carries 8" in caution["words"]


def test_the_deck_need_not_be_measured_for_tie_downs_to_be_counted(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        rig_id = a_rig(crew.owner, straps=7, deck={"slots": 3})
        # One of them has no measures.
        stops = [*pickups(crew, 1, mass_kg=250, length_cm=140), *pickups(crew, 1)]
        (caution, *_) = by_hand(crew, rig_id, stops)
    assert (caution["code"], caution["stop_id"]) == ("straps", str(stops[1]))


def test_a_rig_whose_tie_downs_nobody_counted_says_so(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        a_rig(crew.owner)
        pickups(crew, 1, mass_kg=250, length_cm=140)
        (run,) = planned(crew).runs
    assert "needs 4 tie-downs. How many the rig carries isn't entered" in words_of(run)["tie_downs_unknown"]


@pytest.mark.parametrize(
    ("cross", "needed", "hold"),
    [
        # 49 CFR 393.106(d): a direct tie-down counts half of its working load limit, one over the machine all of it.
        # 1,000 lb want 500 lb: five of 200 lb direct, three over the machine.
        (False, 5, 500),
        (True, 3, 1000),
    ],
)
def test_weak_straps_are_counted_by_what_they_hold(crew: Crew, cross: bool, needed: int, hold: int) -> None:  # noqa: FBT001
    with held_at(MORNING):
        a_yard(crew.owner, least_tie_downs=2)
        rig_id = a_rig(crew.owner, straps=5, strap_wll_kg=91, strap_wll_typed="200 lb", straps_cross=cross)
        stops = pickups(crew, 2, **THOUSAND)
        (run,) = planned(crew).runs
        assert trips_of(run) == 2
        cautions = words_of(run)
        assert cautions["tie_downs"].startswith(f"The fullest leg needs {needed} tie-downs; the rig carries 5.")
        assert cautions["tie_downs_hold"] == (
            f"By the limits you entered, its tie-downs are rated {hold:,} lb together;"
            " the heaviest load needs 500 lb (half of it)."
        )
        # With one strap of each pair left at home they hold too little.
        do(crew.owner, edit_rig, id=rig_id, base={"straps": 5}, set={"straps": needed - 1})
        (caution, *_) = by_hand(crew, rig_id, stops[:1])
    assert caution["code"] == "straps"
    assert not [words for words in cautions.values() if "legal" in words.lower() or "safe" in words.lower()]


def test_two_machines_of_a_thousand_pounds_are_two_thousand(crew: Crew) -> None:
    with held_at(MORNING):
        a_yard(crew.owner)
        # 907 kg beside twice 454 kg, were it rounded.
        a_rig(crew.owner, payload_kg=907, payload_typed="2000 lb")
        stops = pickups(crew, 2, **THOUSAND)
        (run,) = planned(crew).runs
        assert trips_of(run) == 1
        with in_shop(crew.shop_id):
            machine = Machine.objects.get(jobs__stops__id=stops[0])
        change = {"mass_kg": 454, "mass_typed": "1000.1 lb"}
        do(crew.owner, edit_machine, id=machine.id, base={"mass_kg": 454, "mass_typed": "1000 lb"}, set=change)
        (run,) = planned(crew).runs
    assert trips_of(run) == 2


def test_what_was_typed_comes_back_on_the_wire(crew: Crew) -> None:
    deck = {"length_cm": 488, "width_cm": 196, "slots": 2, "lanes": 1, "height_cm": None}
    typed = {"length_cm": "16 ft", "width_cm": "77.25 in"}
    rig_id = a_rig(crew.owner, payload_kg=408, payload_typed="900 lb", deck={**deck, "typed": typed})
    machine_id = work.a_machine(crew.owner, work.a_customer(crew.owner), **THOUSAND)
    with in_shop(crew.shop_id):
        rig = RigRow.of(Rig.objects.get(id=rig_id)).model_dump(mode="json")
        machine = MachineRow.of(Machine.objects.get(id=machine_id)).model_dump(mode="json")
    assert (rig["payload_kg"], rig["payload_typed"], rig["deck"]) == (408, "900 lb", {**deck, "typed": typed})
    assert (machine["mass_kg"], machine["mass_typed"], machine["length_typed"]) == (454, "1000 lb", "5 ft")
    # A deck stored before figures were typed can be edited from a device that has it in that form.
    do(crew.owner, edit_rig, id=rig_id, base={"deck": {**deck, "typed": typed}}, set={"deck": deck})
    do(crew.owner, edit_rig, id=rig_id, base={"deck": deck}, set={"deck": {**deck, "slots": 3}})
    with in_shop(crew.shop_id):
        assert Rig.objects.get(id=rig_id).deck == {**deck, "slots": 3}


def test_only_a_rig_with_a_trailer_is_timed_as_towing_one(crew: Crew) -> None:
    seconds = {}
    with held_at(MORNING):
        a_yard(crew.owner, trailer_percent=20)
        for name, trailer in (("tows", {}), ("alone", None)):
            rig_id = a_rig(crew.owner, name=name, trailer=trailer)
            run_id = a_run(crew.owner, rig_id, *pickups(crew, 1), day=TOMORROW)
            with in_shop(crew.shop_id):
                recompute_run_metrics(actor=crew.owner, run_id=run_id)
                run = Run.objects.get(id=run_id)
            assert run.legs, run.cautions
            # Home again, where nothing is added for turning in.
            seconds[name] = run.legs[-1]["seconds"]
    # A fifth slower: the same way takes a quarter longer.
    assert seconds["tows"] == pytest.approx(1.25 * seconds["alone"], abs=2)
