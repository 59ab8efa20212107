"""A guard that is missing or damaged at check-in becomes a safety finding, which keeps the job from being ready."""

import json
from pathlib import Path
from typing import Any

import pytest

from shopapi.core.clock import held_at
from shopapi.core.errors import Conflict
from shopapi.core.ids import uuid7
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop
from shopapi.dispatch.rules.check_in import GUARD_ITEMS, guard_item
from shopapi.dispatch.rules.hand_over_texts import TEXTS
from shopapi.dispatch.rules.schemas.hand_over import ConditionItem
from shopapi.dispatch.services.hand_overs import hand_over
from shopapi.jobs.models import Finding, Job, SafetyItem
from shopapi.jobs.services import move_job
from tests.dispatch.test_hand_sheet import SEVEN
from tests.factories.crews import open_crew
from tests.factories.refusals import refuses
from tests.factories.rigs import a_stop
from tests.factories.work import an_acknowledgement, do
from tests.sync.data_migrations import run_sql_of

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "jobs" / "check_in.json").read_text())


@pytest.mark.parametrize("vector", VECTORS)
def test_check_in_vectors(vector: dict[str, Any]) -> None:
    found = guard_item(vector["kind"], [parse(ConditionItem, item) for item in vector["condition"]])
    assert (found and found.words) == vector["expect"]
    assert (found and {"device": found.device, "condition": found.condition}) == vector.get("item")


def test_the_finding_is_worded_as_the_check_in() -> None:
    for state, finding in GUARD_ITEMS.items():
        assert finding.words == f"{TEXTS['en']['part_guards']}: {TEXTS['en'][f'state_{state}'].lower()}"
    item = ConditionItem(part="guards", state="missing", note="x" * 2000)
    found = guard_item("pickup", [item])
    assert found is not None
    assert len(found.words) == 2000


@pytest.mark.django_db
def test_a_missing_guard_at_check_in_keeps_the_job_from_being_ready() -> None:
    crew = open_crew()
    with held_at(SEVEN):
        stop = a_stop(crew.owner)
        condition = [{"part": "guards", "state": "missing", "note": "Chute gone"}]
        over = do(crew.mechanic, hand_over, id=uuid7(), stop_id=stop, at=SEVEN, condition=condition)
    with in_shop(crew.shop_id):
        job = Job.objects.get(stops=stop).id
        finding = Finding.objects.get(job=job)
        assert (finding.id, finding.rank, finding.decided) == (over.id, "safety", "open")
        assert (finding.words, finding.consequence) == (
            "Guards and chute: missing. Chute gone",
            GUARD_ITEMS["missing"].protection_lost,
        )
        assert finding.found_by_id == crew.mechanic.member_id
        item = SafetyItem.objects.get(job=job)
        assert (item.id, item.finding_id, item.machine_id) == (over.id, finding.id, finding.job.machine_id)
        assert (item.device, item.condition) == ("guards_and_chute", "missing")
        Job.objects.filter(id=job).update(stage="testing")
    with refuses(Conflict, "Guards and chute: missing. Chute gone"):
        do(crew.mechanic, move_job, id=job, stage="ready")


@pytest.mark.usefixtures("committed_db")
def test_guards_of_earlier_check_ins_become_safety_items() -> None:
    """Of a job that is not ready; not where the customer was told of the finding, which would have to be told again."""
    crew = open_crew()
    overs = {}
    for name, state in (("missing", "missing"), ("damaged", "damaged"), ("told", "missing"), ("returned", "missing")):
        stop = a_stop(crew.owner)
        condition = [{"part": "guards", "state": state, "note": ""}]
        over = do(crew.mechanic, hand_over, id=uuid7(), stop_id=stop, at=SEVEN, condition=condition)
        overs[name] = over.id
    an_acknowledgement(crew.mechanic, overs["told"])
    with in_shop(crew.shop_id):
        Job.objects.filter(id=Finding.objects.get(id=overs["returned"]).job_id).update(stage="returned")
        SafetyItem.objects.all().delete()
    run_sql_of("dispatch.migrations.0012_guard_items")
    with in_shop(crew.shop_id):
        found = {
            item.id: (item.device, item.condition, item.finding_id, item.repaired) for item in SafetyItem.objects.all()
        }
    assert found == {
        overs["missing"]: ("guards_and_chute", "missing", overs["missing"], False),
        overs["damaged"]: ("guards_and_chute", "not_working", overs["damaged"], False),
    }
