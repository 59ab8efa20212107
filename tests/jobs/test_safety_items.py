"""A safety device that is not working, bypassed or missing keeps its job from being ready."""

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest

from shopapi.accounts.models import Shop
from shopapi.core.errors import Conflict, Invalid, NotFound
from shopapi.core.ids import uuid7
from shopapi.core.rendering import render
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop
from shopapi.jobs.models import Finding, Job, SafetyAcknowledgement, SafetyItem
from shopapi.jobs.queries import left_findings
from shopapi.jobs.rules import (
    Decision,
    DeviceCondition,
    DisclosedItem,
    Disclosure,
    FindingRank,
    ItemState,
    TrialRow,
    is_repaired,
    item_words,
    open_safety,
)
from shopapi.jobs.services import (
    acknowledge_finding,
    edit_safety_item,
    move_job,
    note_part_search,
    record_safety_item,
    remove_finding,
    remove_safety_item,
    reopen_safety_item,
    repair_safety_item,
)
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.refusals import refuses
from tests.factories.work import do
from tests.jobs.test_safety import acknowledged, decide, ready

VECTORS = json.loads((Path(__file__).parents[2] / "fixtures" / "jobs" / "safety_items.json").read_text())
SEVEN = datetime(2026, 5, 5, 12, 0, tzinfo=UTC)
WORDS = "Seat switch: not working"


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


@pytest.mark.parametrize("vector", VECTORS["open"], ids=lambda vector: vector["title"])
def test_open_safety_vectors(vector: dict[str, Any]) -> None:
    finding = vector["finding"]
    why = open_safety(
        FindingRank(finding["rank"]),
        Decision(finding["decided"]),
        finding["words"],
        [
            Disclosure(told["finding_words"], [parse(DisclosedItem, item) for item in told["items"]])
            for told in vector["told"]
        ],
        [ItemState(parse(DisclosedItem, each["item"]), each["repaired"]) for each in vector["items"]],
        no_bypass=vector["no_bypass"],
    )
    assert why == vector["expect"]


@pytest.mark.parametrize("vector", VECTORS["repaired"])
def test_repaired_vectors(vector: dict[str, Any]) -> None:
    assert is_repaired([parse(TrialRow, trial) for trial in vector["trials"]]) == vector["expect"]


@pytest.mark.parametrize("vector", VECTORS["words"])
def test_words_vectors(vector: dict[str, Any]) -> None:
    assert item_words(vector["device"], DeviceCondition(vector["condition"])) == vector["expect"]


def a_tested_job(crew: Crew, **item: object) -> tuple[UUID, UUID]:
    """A job in testing with one safety item: a seat switch that does not work."""
    job = work.a_job(crew.mechanic)
    made = work.a_safety_item(crew.mechanic, job, **item)
    with in_shop(crew.shop_id):
        Job.objects.filter(id=job).update(stage="testing")
    return job, made


def tried(item: UUID, **more: object) -> dict[str, Any]:
    return {"id": item, "tried_at": SEVEN, "tries": 3, "seen": "Engine stops each time", **more}


def test_an_item_makes_its_finding_and_blocks_ready(crew: Crew) -> None:
    job, item = a_tested_job(crew)
    with in_shop(crew.shop_id):
        row, finding = SafetyItem.objects.get(id=item), Finding.objects.get(job=job)
        assert (row.finding_id, row.machine_id, row.repaired) == (finding.id, finding.job.machine_id, False)
        assert (finding.id, finding.words, finding.rank) == (item, WORDS, "safety")
        assert (finding.consequence, finding.found_by_id) == ("The engine runs on.", crew.mechanic.member_id)
    with pytest.raises(Conflict) as refused:
        ready(crew, job)
    assert refused.value.code == "safety_open"
    assert render(refused.value.reason) == (
        "Not ready yet, someone can get hurt: Seat switch: not working (repair it and record that it works, or record"
        " that the customer knows and wants it left)."
    )
    # It still goes back to the bench.
    assert do(crew.mechanic, move_job, id=job, stage="repair").stage == "repair"


def test_an_accepted_repair_blocks_until_the_device_works(crew: Crew) -> None:
    job, item = a_tested_job(crew)
    decide(crew, job, item, accept=1)
    with refuses(Conflict, "the customer agreed: repair it and record that it works"):
        ready(crew, job)
    do(crew.mechanic, repair_safety_item, **tried(item))
    assert ready(crew, job) == "ready"
    with in_shop(crew.shop_id):
        [trial] = SafetyItem.objects.get(id=item).trials
        assert trial == {
            "works": True,
            "tried_at": "2026-05-05T12:00:00Z",
            "tries": 3,
            "seen": "Engine stops each time",
            "member_id": str(crew.mechanic.member_id),
        }


def test_found_again_it_blocks_again_whichever_phone_is_first(crew: Crew) -> None:
    job, item = a_tested_job(crew)
    later = {"tried_at": SEVEN + timedelta(hours=1), "seen": "Runs on", "tries": None}
    do(crew.mechanic, reopen_safety_item, **tried(item, **later))
    # A phone that was out of signal sends the earlier repair last.
    assert do(crew.mechanic, repair_safety_item, **tried(item)).repaired is False
    with refuses(Conflict, WORDS):
        ready(crew, job)
    do(crew.mechanic, repair_safety_item, **tried(item, tried_at=SEVEN + timedelta(hours=2)))
    assert ready(crew, job) == "ready"


def test_declined_it_needs_the_acknowledgement_of_just_this(crew: Crew) -> None:
    job, item = a_tested_job(crew)
    do(crew.mechanic, acknowledge_finding, **acknowledged(item, WORDS))
    with in_shop(crew.shop_id):
        [told] = SafetyAcknowledgement.objects.get().items
        assert told == {
            "item_id": str(item),
            "device": "seat_switch",
            "condition": "not_working",
            "protection_lost": "The engine runs on.",
        }
    seen, now = {"condition": "not_working"}, {"condition": "bypassed"}
    do(crew.mechanic, edit_safety_item, id=item, base=seen, set=now)
    with refuses(Conflict, "record that the customer knows"):
        ready(crew, job)
    do(crew.mechanic, acknowledge_finding, **acknowledged(item, WORDS), items=[told | now])
    assert ready(crew, job) == "ready"


def test_a_second_item_of_a_finding_was_not_told(crew: Crew) -> None:
    job, item = a_tested_job(crew)
    do(crew.mechanic, acknowledge_finding, **acknowledged(item, WORDS))
    work.a_safety_item(crew.mechanic, job, finding_id=item, device="Belt cover", condition="missing")
    with refuses(Conflict, WORDS):
        ready(crew, job)
    with in_shop(crew.shop_id):
        assert Finding.objects.filter(job=job).count() == 1


def test_a_shop_may_hand_nothing_back_bypassed_or_missing(crew: Crew) -> None:
    job, item = a_tested_job(crew, condition="bypassed")
    do(crew.mechanic, acknowledge_finding, **acknowledged(item, "Seat switch: bypassed"))
    with in_shop(crew.shop_id):
        Shop.objects.filter(id=crew.shop_id).update(no_bypass=True)
    with refuses(Conflict, "this shop hands nothing back with a bypassed or missing safety device"):
        ready(crew, job)
    do(crew.mechanic, repair_safety_item, **tried(item))
    assert ready(crew, job) == "ready"


def test_part_searches_only_grow(crew: Crew) -> None:
    job, item = a_tested_job(crew)
    for where in ("Hartvale dealer", "Parts house"):
        do(crew.mechanic, note_part_search, id=item, where=where, answer="No longer made", asked_at=SEVEN)
    with in_shop(crew.shop_id):
        found = SafetyItem.objects.get(id=item).part_search
        assert [one["where"] for one in found] == ["Hartvale dealer", "Parts house"]
        assert found[0]["answer"] == "No longer made"
    with refuses(Conflict, "a part for it was searched for"):
        do(crew.mechanic, remove_safety_item, id=item)
    assert job


def test_a_mistake_is_removed_with_its_finding(crew: Crew) -> None:
    job, item = a_tested_job(crew)
    with refuses(Conflict, "safety item"):
        do(crew.mechanic, remove_finding, id=item)
    do(crew.mechanic, remove_safety_item, id=item)
    do(crew.mechanic, remove_finding, id=item)
    assert ready(crew, job) == "ready"


def test_what_was_told_or_tried_is_not_removed(crew: Crew) -> None:
    _, told = a_tested_job(crew)
    do(crew.mechanic, acknowledge_finding, **acknowledged(told, WORDS))
    _, used = a_tested_job(crew)
    do(crew.mechanic, repair_safety_item, **tried(used))
    for item in (told, used):
        with refuses(Conflict, "can't be deleted"):
            do(crew.mechanic, remove_safety_item, id=item)


def test_bad_input_is_refused_clearly(crew: Crew) -> None:
    job, item = a_tested_job(crew)
    other = work.a_finding(crew.mechanic, work.a_job(crew.mechanic), rank="safety")
    made = {"id": uuid7(), "job_id": job, "device": "x", "condition": "missing", "protection_lost": "y"}
    with refuses(Invalid, "This finding belongs to another job."):
        do(crew.mechanic, record_safety_item, **made | {"finding_id": other})
    with pytest.raises(NotFound):
        do(crew.mechanic, record_safety_item, **made | {"finding_id": uuid7()})
    for wrong in ({"device": ""}, {"device": "x" * 121}, {"condition": "broken"}, {"protection_lost": ""}):
        with pytest.raises(Invalid) as refused:
            do(crew.mechanic, record_safety_item, **made | wrong)
        assert [fault.field for fault in refused.value.fields] == list(wrong)
    for field, value in (("tries", 0), ("tries", 1001), ("seen", "")):
        with pytest.raises(Invalid) as refused:
            do(crew.mechanic, repair_safety_item, **tried(item, **{field: value}))
        assert [fault.field for fault in refused.value.fields] == [field]
    with pytest.raises(NotFound):
        do(crew.mechanic, repair_safety_item, **tried(uuid7()))
    with pytest.raises(NotFound):
        do(open_crew("Elsewhere Repair").mechanic, repair_safety_item, **tried(item))


def test_an_item_counts_whatever_the_rank_of_its_finding(crew: Crew) -> None:
    job = work.a_job(crew.mechanic)
    finding = work.a_finding(crew.mechanic, job, words="Seat worn", rank="advised")
    work.a_safety_item(crew.mechanic, job, finding_id=finding)
    with in_shop(crew.shop_id):
        Job.objects.filter(id=job).update(stage="testing")
    with refuses(Conflict, "Seat worn"):
        ready(crew, job)


def test_what_is_left_goes_by_the_time_of_the_hand_over(crew: Crew) -> None:
    job, item = a_tested_job(crew)
    do(crew.mechanic, acknowledge_finding, **acknowledged(item, WORDS))
    do(crew.mechanic, repair_safety_item, **tried(item, tried_at=SEVEN + timedelta(hours=1)))
    with in_shop(crew.shop_id):

        def left(hours: int) -> list[int]:
            found = left_findings(crew.shop_id, job, at=SEVEN + timedelta(hours=hours))
            return [len(items) for _, items in found]

        assert (left(-1), left(0), left(2)) == ([], [1], [])
