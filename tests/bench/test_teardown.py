"""Taking apart and putting back: what is recorded stays, an open torque-critical fastener holds up testing."""

from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from django.db import DatabaseError, transaction

from shopapi.bench.models import Fastener, FastenerMove, PutBackRule, RemovalStep
from shopapi.bench.queries.fasteners import ledger_of
from shopapi.bench.services.fasteners import edit_fastener, record_fastener, record_fastener_move, remove_fastener
from shopapi.bench.services.put_back import add_put_back_rule, remove_put_back_rule
from shopapi.bench.services.removal import (
    edit_removal_step,
    put_step_back,
    record_removal,
    remove_removal_step,
    undo_put_back,
)
from shopapi.core.errors import Conflict, Invalid, NotFound
from shopapi.core.ids import uuid7
from shopapi.core.rendering import render
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Job
from shopapi.jobs.services import move_job
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do, made

NINE = datetime(2026, 5, 5, 9, 0, tzinfo=UTC)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def a_fastener(**more: Any) -> dict[str, Any]:
    return {"id": uuid7(), "thread": "M8", "length": "25", "count": 2, **more}


def a_step(crew: Crew, job: UUID, *fasteners: dict[str, Any], **more: Any) -> UUID:
    defaults = {"id": uuid7(), "job_id": job, "taken_at": NINE, "what": "Blower housing", "fasteners": list(fasteners)}
    return made(crew.mechanic, record_removal, **{**defaults, **more})


def back(crew: Crew, step: UUID, *moves: tuple[Any, int]) -> Any:
    told = [{"id": uuid7(), "fastener_id": fastener, "kind": "back", "count": count} for fastener, count in moves]
    return do(crew.mechanic, put_step_back, id=step, back_at=NINE + timedelta(hours=5), moves=told)


def move(crew: Crew, fastener: object, kind: str, count: int, **more: Any) -> UUID:
    args = {"id": uuid7(), "fastener_id": fastener, "kind": kind, "count": count, "moved_at": NINE, **more}
    return made(crew.mechanic, record_fastener_move, **args)


def balance(crew: Crew, job: UUID) -> list[int]:
    with in_shop(crew.shop_id):
        return [line.open for line in ledger_of(crew.mechanic, job)[0].sizes]


def test_a_step_is_recorded_with_its_fasteners_in_one_command(crew: Crew) -> None:
    job = work.a_job(crew.mechanic)
    torque = {"torque": "25.5", "torque_unit": "N.m"}
    step = a_step(crew, job, a_fastener(**torque), a_fastener(thread="M6", hidden=True), bag=4, position=3)
    with in_shop(crew.shop_id):
        row = RemovalStep.objects.get(id=step)
        assert (row.what, row.bag, row.position, row.taken_at) == ("Blower housing", 4, 3, NINE)
        assert row.taken_by_id == crew.mechanic.member_id
        found = (
            Fastener.objects.filter(step=step).order_by("id").values_list("thread", "count", "hidden", "torque_unit")
        )
        assert list(found) == [("M8", 2, False, "N.m"), ("M6", 2, True, "")]


def test_a_photo_alone_is_a_step(crew: Crew) -> None:
    assert a_step(crew, work.a_job(crew.mechanic), what="")


def test_all_of_a_step_goes_back_with_one_command_and_can_be_undone(crew: Crew) -> None:
    job, bolts = work.a_job(crew.mechanic), a_fastener()
    step = a_step(crew, job, bolts)
    assert balance(crew, job) == [2]
    done = back(crew, step, (bolts["id"], 2))
    assert (done.back_at, done.back_by_id) == (NINE + timedelta(hours=5), crew.mechanic.member_id)
    assert balance(crew, job) == [0]
    opposite = [{"id": uuid7(), "fastener_id": bolts["id"], "kind": "back", "count": -2}]
    undone = do(crew.mechanic, undo_put_back, id=step, undone_at=NINE, moves=opposite)
    assert (undone.back_at, undone.back_by_id, balance(crew, job)) == (None, None, [2])


def test_two_people_put_the_same_step_back_and_the_ledger_says_so(crew: Crew) -> None:
    job, bolts = work.a_job(crew.mechanic), a_fastener()
    step = a_step(crew, job, bolts)
    first = back(crew, step, (bolts["id"], 2))
    again = do(crew.owner, put_step_back, id=step, back_at=NINE + timedelta(hours=9), moves=[])
    assert again.back_at == first.back_at
    move(crew, bolts["id"], "back", 2)
    # More back than came out: kept, and said.
    assert balance(crew, job) == [-2]


def test_a_move_of_none_is_refused_and_of_an_unknown_fastener_too(crew: Crew) -> None:
    bolts = a_fastener()
    step = a_step(crew, work.a_job(crew.mechanic), bolts)
    with pytest.raises(Invalid) as refused:
        move(crew, bolts["id"], "back", 0)
    assert render(refused.value.reason) == "Enter how many: at least 1."
    with pytest.raises(Invalid) as refused:
        back(crew, step, (bolts["id"], 0))
    assert refused.value.fields[0].field == "moves.0.count"
    with pytest.raises(NotFound):
        move(crew, uuid7(), "back", 1)


@pytest.mark.parametrize(
    ("wrong", "code"),
    [
        ({"count": 0}, "greater_than_equal"),
        ({"torque": "25", "torque_unit": "psi"}, "literal_error"),
        ({"torque": "25"}, "missing"),
        ({"torque": "0", "torque_unit": "N.m"}, "greater_than"),
        ({"thread": ""}, "too_short"),
    ],
)
def test_what_a_fastener_cannot_be(crew: Crew, wrong: dict[str, Any], code: str) -> None:
    job = work.a_job(crew.mechanic)
    with pytest.raises(Invalid) as refused:
        a_step(crew, job, a_fastener(**wrong))
    assert [fault.code for fault in refused.value.fields] == [code]
    step = a_step(crew, job)
    with pytest.raises(Invalid):
        do(crew.mechanic, record_fastener, step_id=step, **a_fastener(**wrong))


def test_a_torque_and_its_unit_change_together(crew: Crew) -> None:
    bolts = a_fastener(torque="25", torque_unit="N.m")
    a_step(crew, work.a_job(crew.mechanic), bolts)
    with pytest.raises(Invalid):
        do(crew.mechanic, edit_fastener, id=bolts["id"], base={"torque_unit": "N.m"}, set={"torque_unit": ""})
    edit = {
        "base": {"torque": "25", "torque_unit": "N.m"},
        "set": {"torque": "18.4", "torque_unit": "lbf.ft"},
    }
    changed = do(crew.mechanic, edit_fastener, id=bolts["id"], **edit)
    assert (str(changed.torque), changed.torque_unit) == ("18.4", "lbf.ft")


def test_a_move_never_changes(crew: Crew) -> None:
    bolts = a_fastener()
    a_step(crew, work.a_job(crew.mechanic), bolts)
    made_id = move(crew, bolts["id"], "scrapped", 1)
    with in_shop(crew.shop_id), pytest.raises(DatabaseError), transaction.atomic():
        FastenerMove.objects.filter(id=made_id).update(count=9)


def test_what_something_refers_to_is_not_deleted(crew: Crew) -> None:
    job, bolts = work.a_job(crew.mechanic), a_fastener()
    cover = a_step(crew, job)
    step = a_step(crew, job, bolts, behind_id=cover)
    with pytest.raises(Conflict, match="removal_step_in_use"):
        do(crew.mechanic, remove_removal_step, id=cover)
    move(crew, bolts["id"], "spare", 1)
    with pytest.raises(Conflict, match="fastener_in_use"):
        do(crew.mechanic, remove_fastener, id=bolts["id"])
    with pytest.raises(Conflict, match="removal_step_in_use"):
        do(crew.mechanic, remove_removal_step, id=step)


def test_a_step_recorded_by_mistake_goes_with_its_fasteners(crew: Crew) -> None:
    step = a_step(crew, work.a_job(crew.mechanic), a_fastener(), a_fastener())
    do(crew.mechanic, remove_removal_step, id=step)
    with in_shop(crew.shop_id):
        assert (RemovalStep.objects.count(), Fastener.objects.count()) == (0, 0)


def test_a_step_is_behind_another_of_its_own_job(crew: Crew) -> None:
    job = work.a_job(crew.mechanic)
    step, elsewhere = a_step(crew, job), a_step(crew, work.a_job(crew.mechanic))
    with pytest.raises(Invalid, match="behind_another_job"):
        a_step(crew, job, behind_id=elsewhere)
    for wrong in (step, elsewhere):
        with pytest.raises(Invalid, match="behind_another_job"):
            do(crew.mechanic, edit_removal_step, id=step, base={"behind_id": None}, set={"behind_id": str(wrong)})


def test_rules_about_the_order(crew: Crew) -> None:
    job = work.a_job(crew.mechanic)
    first, second = a_step(crew, job), a_step(crew, job)
    elsewhere = a_step(crew, work.a_job(crew.mechanic))

    def rule(before: UUID, after: UUID) -> UUID:
        return made(crew.mechanic, add_put_back_rule, id=uuid7(), job_id=job, before_id=before, after_id=after)

    kept = rule(first, second)
    # Contradicting rules are kept: the order names the circle.
    rule(second, first)
    with pytest.raises(Invalid, match="rule_about_one_step"):
        rule(first, first)
    with pytest.raises(Invalid, match="rule_of_another_job"):
        rule(first, elsewhere)
    do(crew.mechanic, remove_put_back_rule, id=kept)
    with in_shop(crew.shop_id):
        assert PutBackRule.objects.count() == 1


def to_stage(crew: Crew, job: UUID, stage: str) -> str:
    found: str = do(crew.mechanic, move_job, id=job, stage=stage).stage
    return found


def test_an_open_torque_critical_fastener_holds_up_testing(crew: Crew) -> None:
    job = work.a_job(crew.mechanic)
    to_stage(crew, job, "repair")
    rod = a_fastener(thread="M7", length="32", place="rod cap", torque_critical=True)
    step = a_step(crew, job, rod, what="Connecting rod")
    with pytest.raises(Conflict) as refused:
        to_stage(crew, job, "testing")
    assert refused.value.code == "torque_open"
    assert "tightened to their torque: M7 32, rod cap." in render(refused.value.reason)
    back(crew, step, (rod["id"], 2))
    with pytest.raises(Conflict):
        to_stage(crew, job, "testing")
    move(crew, rod["id"], "tightened", 2, torque="12", torque_unit="N.m", tool="Torque wrench 2")
    assert to_stage(crew, job, "testing") == "testing"


def test_it_does_not_hold_up_a_step_back_from_ready(crew: Crew) -> None:
    job = work.a_job(crew.mechanic)
    a_step(crew, job, a_fastener(torque_critical=True))
    with in_shop(crew.shop_id):
        Job.objects.filter(id=job).update(stage="ready")
    assert to_stage(crew, job, "testing") == "testing"
