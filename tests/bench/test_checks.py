"""Check lists are templates of the shop; checks are facts that copy an item's words and never change."""

from datetime import UTC, datetime
from typing import Any
from uuid import UUID

import pytest
from django.db import DatabaseError, transaction

from shopapi.bench.models import Check, CheckList
from shopapi.bench.rules.checks import CheckItem, repeated_item
from shopapi.bench.services.checks import add_check_list, edit_check_list, record_check, remove_check_list
from shopapi.core.errors import Invalid, NotFound
from shopapi.core.ids import uuid7
from shopapi.core.schema import to_json
from shopapi.core.tenancy import in_shop
from shopapi.jobs.services import remove_finding
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.refusals import refuses
from tests.factories.work import do

EIGHT = datetime(2026, 5, 5, 8, 0, tzinfo=UTC)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def an_item(words: str, *, critical: bool = False) -> dict[str, Any]:
    return {"id": uuid7(), "words": words, "critical": critical}


def checked(job: UUID, item: dict[str, Any], result: str, **more: Any) -> dict[str, Any]:
    of = {"item_id": item["id"], "item_words": item["words"], "critical": item["critical"]}
    return {"id": uuid7(), "job_id": job, "list_name": "Check-in", "checked_at": EIGHT, **of, "result": result, **more}


def test_a_list_is_added_edited_and_removed(crew: Crew) -> None:
    belts, oil = an_item("Belts"), an_item("Oil", critical=True)
    made = do(crew.mechanic, add_check_list, id=uuid7(), name="Check-in", machine_kind="mower", items=[belts, oil])
    assert made.items == to_json([belts, oil])
    change = {"base": {"items": made.items}, "set": {"items": to_json([oil])}}
    assert do(crew.owner, edit_check_list, id=made.id, **change).items == to_json([oil])
    do(crew.owner, remove_check_list, id=made.id)
    with in_shop(crew.shop_id):
        assert not CheckList.objects.exists()


def test_an_item_twice_in_a_list_is_refused_by_its_place(crew: Crew) -> None:
    belts = an_item("Belts")
    with refuses(Invalid, "twice") as refused:
        do(crew.mechanic, add_check_list, id=uuid7(), name="Check-in", items=[belts, an_item("Oil"), belts])
    assert refused.value.fields[0].field == "items.2.id"
    made = do(crew.mechanic, add_check_list, id=uuid7(), name="Check-in", items=[belts])
    with refuses(Invalid, "twice"):
        do(
            crew.mechanic,
            edit_check_list,
            id=made.id,
            base={"items": made.items},
            set={"items": to_json([belts, belts])},
        )


def test_repeated_item() -> None:
    one, other = CheckItem(id=uuid7(), words="One"), CheckItem(id=uuid7(), words="Other")
    assert repeated_item([]) is None
    assert repeated_item([one, other]) is None
    assert repeated_item([other, one, other, one]) == 2


def test_a_check_keeps_its_words_when_the_list_changes_or_goes(crew: Crew) -> None:
    job, belts = work.a_job(crew.mechanic), an_item("Belts: cracks, tension")
    made = do(crew.mechanic, add_check_list, id=uuid7(), name="Check-in", items=[belts])
    do(crew.mechanic, record_check, **checked(job, belts, "worn", words="glazed"))
    do(crew.mechanic, remove_check_list, id=made.id)
    with in_shop(crew.shop_id):
        row = Check.objects.get()
        assert (row.item_words, row.result, row.words) == ("Belts: cracks, tension", "worn", "glazed")
        assert (row.checked_at, row.checked_by_id) == (EIGHT, crew.mechanic.member_id)


def test_checks_are_only_added(crew: Crew) -> None:
    job, belts = work.a_job(crew.mechanic), an_item("Belts")
    for result in ("bad", "fine"):
        do(crew.mechanic, record_check, **checked(job, belts, result))
    with in_shop(crew.shop_id):
        assert sorted(Check.objects.values_list("result", flat=True)) == ["bad", "fine"]
        with pytest.raises(DatabaseError, match="permission denied"), transaction.atomic():
            Check.objects.update(result="fine")


def test_a_check_that_became_a_finding_does_not_keep_it(crew: Crew) -> None:
    """The finding of a slip of the thumb can be removed; the check stays and names what is no longer there."""
    job, belts = work.a_job(crew.mechanic), an_item("Belts")
    finding = work.a_finding(crew.mechanic, job, words="Belts")
    do(crew.mechanic, record_check, **checked(job, belts, "bad", finding_id=finding))
    do(crew.mechanic, remove_finding, id=finding)
    with in_shop(crew.shop_id):
        assert Check.objects.get().finding_id == finding


def test_a_check_names_a_job_and_a_finding_of_the_shop(crew: Crew) -> None:
    job, belts = work.a_job(crew.mechanic), an_item("Belts")
    for wrong in ({"job_id": uuid7()}, {"finding_id": uuid7()}):
        with pytest.raises(NotFound) as refused:
            do(crew.mechanic, record_check, **checked(job, belts, "bad") | wrong)
        assert refused.value.fields[0].field in wrong
