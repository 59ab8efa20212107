"""What holds for every command of every resource, tried with its example (`tests/factories/examples.py`).

Two shops are created once; each command is tried in savepoints that are rolled back.
"""

import json
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

import pytest
from django.db import connection, transaction
from django.db.models.functions import Now
from pytest_django import Settings
from pytest_django.plugin import DjangoDbBlocker

from shopapi.accounts.queries import actor_of
from shopapi.accounts.rules import PERMISSIONS, NewDevice, NewInvitation, Role
from shopapi.accounts.services.devices import register_device, revoke_device
from shopapi.accounts.services.invitations import join_at_once
from shopapi.core.actor import Actor
from shopapi.core.clock import held_at, now
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent
from shopapi.core.resources import all_resources
from shopapi.core.tenancy import see_shop
from shopapi.sync.rules.outcomes import Outcome
from shopapi.sync.services.catalog import can_be_held
from shopapi.sync.services.issues import settle_issue
from tests.factories.crews import PASSWORD, Browser, Crew, open_crew
from tests.factories.examples import Scene, commands, rest_path
from tests.factories.work import do
from tests.sync import invariants
from tests.sync.direct_push import held_issue_of, logged, push

# Audit events differ by route.
ROWS = {resource.kind: resource.model._meta.db_table for resource in all_resources() if resource.kind != "audit_event"}
# REST has no device; columns filled by the database's clock differ between the two routes.
DB_CLOCK_COLUMNS = {
    field.column
    for resource in all_resources()
    for field in resource.model._meta.concrete_fields
    if isinstance(getattr(field.db_default, "value", field.db_default), Now)
}
IGNORED_COLUMNS = invariants.VOLATILE_COLUMNS | {"device_id", "next_no", "build", "sign_ins"} | DB_CLOCK_COLUMNS
# REST has no device for push messages.
DEVICE_COMMANDS = {"turn_on_push", "turn_off_push"}
# The owner's example row is not a colleague's, though their role has the permission: the expected code.
EXPECTED_DENIALS = {
    ("cancel_plan", Role.MECHANIC): "forbidden",
    ("correct_entry", Role.MECHANIC): "forbidden",
    ("drop_entry", Role.MECHANIC): "forbidden",
    ("request_plan", Role.MECHANIC): "not_your_day",
    ("settle_entries", Role.MECHANIC): "forbidden",
    ("stop_clock", Role.MECHANIC): "forbidden",
    ("take_plan", Role.MECHANIC): "plan_touches_others",
    ("turn_off_push", Role.OFFICE): "not_found",
    ("turn_off_push", Role.MECHANIC): "not_found",
}
# Ids that are stored without being looked up.
STORED_WITHOUT_LOOKUP = {("add_attachment", "about_id"), ("arrive_stop", "run_id"), ("record_message", "about_id")}
Rows = dict[tuple[str, str], dict[str, Any]]


@dataclass(frozen=True)
class TwoShops:
    """Two shops. `former` is a second owner of the first, with a device, who can be signed off."""

    crew: Crew
    former: Actor
    theirs: Scene


@pytest.fixture(scope="module")
def shops(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[TwoShops]:
    with django_db_blocker.unblock(), transaction.atomic():
        crew = open_crew()
        person = NewInvitation(id=uuid7(), name="Rex Former", email="former@bench.example", role=Role.OWNER)
        join_at_once(actor=crew.owner, data=person, password=PASSWORD)
        former = actor_of(crew.shop_id, person.id, Role.OWNER, may_see_cost=True)
        former = replace(former, device_id=register_device(actor=former, data=NewDevice(id=uuid7())).id)
        theirs = Scene(open_crew("Other Yard").owner)
        for resource in all_resources():
            theirs.the(resource.kind)
        yield TwoShops(crew, former, theirs)
        transaction.set_rollback(True)


@pytest.fixture(autouse=True)
def _sends_mail(settings: Settings) -> None:
    settings.SMTP = {"host": "localhost"}


@contextmanager
def rolled_back() -> Iterator[None]:
    """Roll back everything inside. Time is frozen, so that both routes write the same times."""
    with held_at(now()), transaction.atomic():
        yield
        transaction.set_rollback(True)


def rows_of(shop_id: UUID) -> Rows:
    """Every row of a shop, by kind and id, without columns that differ between two runs."""
    parts = [
        f"SELECT '{kind}', to_jsonb(t)::text FROM {table} t WHERE {'id' if kind == 'shop' else 'shop_id'} = %s"
        for kind, table in ROWS.items()
    ]
    see_shop(shop_id)
    with connection.cursor() as cursor:
        cursor.execute(" UNION ALL ".join(parts), [shop_id] * len(parts))
        found = [(kind, json.loads(text)) for kind, text in cursor.fetchall()]
    return {(kind, row["id"]): {k: v for k, v in row.items() if k not in IGNORED_COLUMNS} for kind, row in found}


def changed(before: Rows, after: Rows, args: Mapping[str, Any]) -> list[str]:
    """The rows a command created, changed and removed; ids made by the server are masked."""
    text = json.dumps(sorted((k, after.get(k)) for k in before.keys() | after.keys() if before.get(k) != after.get(k)))
    args_text = json.dumps(args)
    for _, row_id in after.keys() - before.keys():
        if row_id not in args_text:
            text = text.replace(row_id, "minted")
    return sorted(json.dumps(one) for one in json.loads(text))


def ids_in(value: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[tuple[Any, ...], str]]:
    """Each id among arguments, with its path."""
    if isinstance(value, dict | list):
        for key, item in value.items() if isinstance(value, dict) else enumerate(value):
            yield from ids_in(item, (*at, key))
    elif isinstance(value, str) and re.fullmatch(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", value):
        yield at, value


def with_id(args: Any, at: tuple[Any, ...], row_id: object) -> Any:
    if not at:
        return str(row_id)
    copy = dict(args) if isinstance(args, dict) else list(args)
    copy[at[0]] = with_id(args[at[0]], at[1:], row_id)
    return copy


def comparable_outcome(outcome: Outcome, row_id: object) -> str:
    """An outcome without its id, number, seq and seal, with `row_id` masked."""
    marks = {"id", "no", "seq", "seal", "after"}
    return masked(outcome.model_dump_json(exclude=marks), row_id)


def masked(text: str, row_id: object) -> str:
    """A text with the id, times and trace ids masked."""
    return re.sub(r'"trace":"[^"]*"|"[0-9-]{10}T[0-9:.]+Z"', "", text.replace(str(row_id), "ID"))


@pytest.mark.parametrize("name", sorted(commands()))
def test_command_meets_the_rules_of_every_command(shops: TwoShops, name: str) -> None:
    resource, command = commands()[name]
    crew = shops.crew
    with rolled_back():
        args = Scene(crew.owner).example(name)
        before = rows_of(crew.shop_id)
        by_rest = _check_rest(crew, name, args, before)
        if not resource.queued:
            return
        by_push = _check_push(crew, name, args, before)
        assert by_push
        assert by_rest in (None, by_push)
        _check_roles(crew, name, args)
        if can_be_held(command):
            anybody = "|".join(str(one.member_id) for one in (crew.owner, shops.former))
            held = _check_held_and_settled(shops, name, args, before)
            assert [re.sub(anybody, "ANYBODY", row) for row in held] == [
                re.sub(anybody, "ANYBODY", row) for row in by_push
            ]
        _check_foreign_ids(shops, name, args, before)
        if command.creates_row:
            _check_taken_id(shops, name, args)


def _check_rest(crew: Crew, name: str, args: Any, before: Rows) -> list[str] | None:
    path = rest_path(name, args["id"])
    if path is None or name in DEVICE_COMMANDS:
        return None
    with rolled_back():
        browser, key = Browser(crew.owner), uuid7()
        answer = browser.post(path, args, key=key)
        assert answer.status_code in (200, 201), answer.content
        again = browser.post(path, args, key=key)
        assert (again.status_code, again.json()) == (answer.status_code, answer.json())
        assert again["Idempotency-Replayed"] == "true"
        return changed(before, rows_of(crew.shop_id), args)


def _check_push(crew: Crew, name: str, args: Any, before: Rows) -> list[str]:
    with rolled_back():
        (said,) = push(crew.owner, (name, args))
        assert said.status == "applied", said
        return changed(before, rows_of(crew.shop_id), args)


def _check_roles(crew: Crew, name: str, args: Any) -> None:
    for role, actor in ((Role.OFFICE, crew.office), (Role.MECHANIC, crew.mechanic)):
        may = commands()[name][1].needs in PERMISSIONS[role]
        with rolled_back():
            (said,) = push(actor, (name, args))
        code = EXPECTED_DENIALS.get((name, role)) if may else "forbidden"
        assert (said.code, said.status == "applied") == (code, code is None), (role, said)


def _check_held_and_settled(shops: TwoShops, name: str, args: Any, before: Rows) -> list[str]:
    owner = shops.crew.owner
    with rolled_back():
        do(owner, revoke_device, id=shops.former.device_id)
        (said,) = push(shops.former, (name, args))
        assert (said.status, said.code) == ("held", "device_retired")
        assert not AuditEvent.objects.filter(command_id=said.id).exists()
        issue = held_issue_of(owner, said.id)
        do(owner, settle_issue, id=issue.id, choice="ours")
        assert (logged(owner, said.id).status, logged(owner, said.id).code) == ("applied", None)
        written = AuditEvent.objects.filter(command_id=said.id)
        assert {event.member_id for event in written} == {shops.former.member_id}
        assert {event.details["settled_by"] for event in written} == {str(owner.member_id)}
        after = rows_of(shops.crew.shop_id)
        del after["issue", str(issue.id)]
        signed_off = ("device", str(shops.former.device_id))
        after[signed_off] = before[signed_off]
        return changed(before, after, args)


def _check_foreign_ids(shops: TwoShops, name: str, args: Any, before: Rows) -> None:
    """For each row id among the arguments: an id of another shop gets the same answer as an unknown one."""
    owner, browser = shops.crew.owner, Browser(shops.crew.owner)
    kinds = {row_id: kind for kind, row_id in before}
    theirs = rows_of(shops.theirs.actor.shop_id)
    for at, row_id in ids_in(args):
        if row_id not in kinds:
            continue
        answers = []
        for other in (shops.theirs.the(kinds[row_id]), uuid7()):
            wrong = with_id(args, at, other)
            with rolled_back():
                (said,) = push(owner, (name, wrong))
                assert said.status != "applied" or (name, at[-1]) in STORED_WITHOUT_LOOKUP, (at, said)
                assert said.status != "rejected" or not commands()[name][1].fact, (at, said)
                assert rows_of(shops.theirs.actor.shop_id) == theirs
            with rolled_back():
                path = rest_path(name, wrong["id"])
                answer = None if path is None else browser.post(path, wrong)
            answers.append(
                (
                    comparable_outcome(said, other),
                    answer and (answer.status_code, masked(answer.content.decode(), other)),
                )
            )
        assert answers[0] == answers[1], at


def _check_taken_id(shops: TwoShops, name: str, args: Any) -> None:
    resource, _ = commands()[name]
    with rolled_back():
        (said,) = push(shops.crew.owner, (name, with_id(args, ("id",), shops.theirs.the(resource.kind))))
    assert said.code == "id_taken", said
