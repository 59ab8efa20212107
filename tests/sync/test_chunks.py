"""Chunks of commands that run together end as if each had run alone, whatever is among them."""

from collections import Counter
from typing import Any
from uuid import UUID

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.sync.models import LoggedCommand
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.sync.direct_push import push

Written = tuple[str, dict[str, Any]]


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def customer(name: str) -> tuple[UUID, Written]:
    row_id = uuid7()
    return row_id, ("add_customer", {"id": row_id, "name": name})


def mixed(crew: Crew) -> list[Written]:
    """Rows made and changed, a refused one, an id that is taken, a row that is unknown, a decision on another text."""
    (ada, add_ada), (ben, add_ben) = customer("Ada Quill"), customer("Ben Moss")
    rename = {"id": ada, "base": {"name": "Ada Quill"}, "set": {"name": "Ada Quill-Moss"}}
    again = {"id": ada, "base": {"name": "Ada Quill-Moss"}, "set": {"name": "Ada Moss"}}
    quote = work.an_offer(crew.owner, work.a_job(crew.owner))
    return [
        add_ada,
        ("edit_customer", rename),
        ("add_customer", {"id": uuid7(), "name": "x" * 121}),
        add_ben,
        ("add_customer", {"id": ben, "name": "Another with his id"}),
        ("add_machine", {"id": uuid7(), "customer_id": uuid7(), "kind": "chipper"}),
        ("decide_quote", work.decision_on(crew.owner, quote) | {"digest": "0" * 64}),
        ("edit_customer", again),
        ("no_such_command", {"id": uuid7()}),
        ("add_machine", {"id": uuid7(), "customer_id": ada, "kind": "chipper"}),
    ]


def content(crew: Crew) -> dict[str, Any]:
    """What a push left: outcomes in order, with the place of the command before on the same row, and the trail."""
    with in_shop(crew.shop_id):
        logged = list(LoggedCommand.objects.order_by("no"))
        place = {one.id: one.no for one in logged}
        return {
            "outcomes": [
                (one.name, one.status, one.code, place.get(one.after) if one.after else None) for one in logged
            ],
            "waits": [one.waits_for is not None for one in logged],
            "trail": Counter(AuditEvent.objects.values_list("event", flat=True)),
            "names": sorted(Customer.objects.values_list("name", flat=True)),
        }


def test_mixed_chunk_ends_as_if_each_command_had_run_alone(db: None) -> None:
    together, alone = open_crew("Together"), open_crew("Alone")
    push(together.owner, *mixed(together))
    for written in mixed(alone):
        push(alone.owner, written)
    assert content(together) == content(alone)
    codes = {code for _, _, code, _ in content(together)["outcomes"]}
    assert codes == {None, "invalid", "id_taken", "waits_for", "needs_review", "unknown_command"}


def test_chunk_without_refusals_ends_as_if_each_command_had_run_alone(db: None) -> None:
    """The same without what is refused: here nothing runs a second time."""
    together, alone = open_crew("Together"), open_crew("Alone")

    def fine(crew: Crew) -> list[Written]:
        found = mixed(crew)
        return [found[at] for at in (0, 1, 3, 6, 7, 9)]

    push(together.owner, *fine(together))
    for written in fine(alone):
        push(alone.owner, written)
    left = content(together)
    assert left == content(alone)
    assert [code for _, _, code, _ in left["outcomes"]].count("needs_review") == 1
    # The second change of the customer comes after the first, and that after the creation.
    assert [before for name, _, _, before in left["outcomes"] if name == "edit_customer"] == [1, 2]


def test_statements_do_not_grow_with_what_a_chunk_shares(crew: Crew) -> None:
    """Beyond the rows themselves, 40 commands take as many statements as 10."""

    def statements(count: int) -> int:
        written = [customer(f"Customer {nth}")[1] for nth in range(count)]
        with CaptureQueriesContext(connection) as captured:
            push(crew.owner, *written)
        return len(captured)

    statements(2)
    assert statements(40) - statements(10) == 30


def test_id_used_twice_in_a_chunk_is_taken_the_second_time(crew: Crew) -> None:
    _, written = customer("Ada Quill")
    first, second = push(crew.owner, written, written)
    assert (first.status, second.status, second.code) == ("applied", "rejected", "id_taken")
    with in_shop(crew.shop_id):
        assert Customer.objects.count() == 1


def test_error_in_the_last_command_keeps_all_before_it(crew: Crew) -> None:
    written = [customer(f"Customer {nth}")[1] for nth in range(30)]
    outcomes = push(crew.owner, *written, ("add_customer", {"id": uuid7(), "name": ""}))
    assert [one.status for one in outcomes] == ["applied"] * 30 + ["rejected"]
    with in_shop(crew.shop_id):
        assert Customer.objects.count() == 30
        assert AuditEvent.objects.filter(event="customer added").count() == 30
