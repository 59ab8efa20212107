"""Commands held because a build could not run them: a later build runs them once, in order."""

import io
from dataclasses import replace
from typing import Any, cast

import pytest
from django.core.management import call_command
from django.db import connections

from shopapi.accounts.rules import Permission
from shopapi.accounts.services.members import end_membership
from shopapi.config import prepare
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.ids import uuid7
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer, Site
from shopapi.customers.rules.customer import NewCustomer
from shopapi.sync.models import LoggedCommand
from shopapi.sync.rules.push import Push
from shopapi.sync.services.catalog import COMMANDS
from shopapi.sync.services.push import PUSH_COMMANDS, push_commands
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do
from tests.sync.direct_push import envelope, held_issue_of, logged, push


@pytest.fixture
def crew(committed_db: None, settings: Any) -> Crew:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    return open_crew()


class Builds:
    """Replace what this server knows under a name, as an older or newer build would."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self.patch = patch

    def knows(self, name: str, found: Any) -> None:
        for catalog in (PUSH_COMMANDS, COMMANDS):
            if found is None:
                self.patch.delitem(catalog, name)
            else:
                self.patch.setitem(catalog, name, found)


@pytest.fixture
def builds(monkeypatch: pytest.MonkeyPatch) -> Builds:
    return Builds(monkeypatch)


def names(crew: Crew) -> list[str]:
    with in_shop(crew.shop_id):
        return sorted(Customer.objects.values_list("name", flat=True))


def printed() -> str:
    out = io.StringIO()
    call_command("retry_held", stdout=out)
    return out.getvalue()


def test_unknown_command_runs_after_an_update(crew: Crew, builds: Builds) -> None:
    row_id, known = str(uuid7()), COMMANDS["add_customer"]
    builds.knows("add_customer", None)
    said = push(
        crew.mechanic,
        ("add_customer", {"id": row_id, "name": "Winnie"}),
        ("edit_customer", {"id": row_id, "base": {"notes": ""}, "set": {"notes": "Blue door"}}),
    )
    assert [one.code for one in said] == ["unknown_command", "waits_for"]
    assert "Still held: 1" in printed()
    builds.knows("add_customer", known)
    assert "Held commands of phones run: 1. Still held: 0" in printed()
    with in_shop(crew.shop_id):
        assert Customer.objects.get().notes == "Blue door"
    assert [logged(crew.owner, one.id).status for one in said] == ["applied", "applied"]
    assert "Held commands of phones run: 0. Still held: 0" in printed()
    assert names(crew) == ["Winnie"]


def test_starting_a_new_build_runs_held_commands(
    crew: Crew, builds: Builds, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    known = COMMANDS["add_customer"]
    builds.knows("add_customer", None)
    push(crew.mechanic, ("add_customer", {"id": str(uuid7()), "name": "Winnie"}))
    builds.knows("add_customer", known)
    assert names(crew) == []
    prepare.main()
    assert names(crew) == ["Winnie"]
    assert "Held commands of phones run: 1." in capsys.readouterr().out
    prepare.main()
    assert "carried out" not in capsys.readouterr().out
    assert connections["owner"]


def test_command_runs_once_the_internal_error_is_fixed(crew: Crew, builds: Builds) -> None:
    """Scenario 7: what came after it has run; run again twice, and sent again by the phone, it has one effect."""

    def broken(*, actor: Actor, data: Any) -> None:
        raise KeyError(data.name)

    known = COMMANDS["add_customer"]
    builds.knows("add_customer", replace(known, service=broken))
    kept = work.a_customer(crew.owner)
    sent = [
        envelope(1, "add_customer", {"id": str(uuid7()), "name": "Winnie"}),
        envelope(2, "edit_customer", {"id": str(kept), "base": {"name": "Winnie Stroud"}, "set": {"name": "Later"}}),
    ]
    assert send(crew, sent) == [("held", "internal", None), ("applied", None, None)]
    assert "Still held: 1" in printed()
    assert names(crew) == ["Later"]
    builds.knows("add_customer", known)
    assert "Held commands of phones run: 1" in printed()
    assert "Held commands of phones run: 0. Still held: 0" in printed()
    assert send(crew, sent) == [("duplicate", None, "applied")] * 2
    assert names(crew) == ["Later", "Winnie"]


def send(crew: Crew, commands: list[dict[str, Any]]) -> list[tuple[str, str | None, str | None]]:
    """Push exactly these commands of the mechanic's phone: status, code and first status of each."""
    body = {"device": str(crew.mechanic.device_id), "sent_wall": now().isoformat(), "commands": commands}
    said = push_commands(actor=crew.mechanic, data=parse(Push, body)).results
    return [(one.status, one.code, one.first) for one in said]


def test_command_is_kept_while_the_server_is_rolled_back_to_a_build_without_it(crew: Crew, builds: Builds) -> None:
    """Scenario 24: what ran before is known as a duplicate, what came after waits in its place, the rest goes on."""
    known = COMMANDS["add_site"]
    customer = str(uuid7())
    site = {"customer_id": customer, "label": "Barn"}
    sent = [
        envelope(1, "add_customer", {"id": customer, "name": "Winnie"}),
        envelope(2, "add_site", {"id": str(uuid7()), **site}),
        envelope(3, "add_site", {"id": str(uuid7()), **site, "label": "Yard"}),
        envelope(4, "edit_customer", {"id": customer, "base": {"notes": ""}, "set": {"notes": "Blue door"}}),
    ]
    assert send(crew, sent[:2]) == [("applied", None, None)] * 2
    builds.knows("add_site", None)
    rolled_back = [("duplicate", None, "applied")] * 2 + [("held", "unknown_command", None), ("applied", None, None)]
    assert send(crew, sent) == rolled_back
    assert "Still held: 1" in printed()
    with in_shop(crew.shop_id):
        assert Customer.objects.get().notes == "Blue door"
        assert LoggedCommand.objects.get(no=3).args["label"] == "Yard"
    builds.knows("add_site", known)
    assert "Held commands of phones run: 1. Still held: 0" in printed()
    with in_shop(crew.shop_id):
        assert sorted(Site.objects.values_list("label", flat=True)) == ["Barn", "Yard"]
    assert send(crew, sent) == [("duplicate", None, "applied")] * 4


def test_held_command_refused_by_a_later_build_is_rejected(crew: Crew, builds: Builds) -> None:
    known = COMMANDS["add_customer"]
    builds.knows("add_customer", None)
    (said,) = push(crew.mechanic, ("add_customer", {"id": str(uuid7()), "name": ""}))
    builds.knows("add_customer", known)
    printed()
    row = logged(crew.owner, said.id)
    assert (row.status, row.code, [fault["field"] for fault in row.fields]) == ("rejected", "invalid", ["name"])


def test_unknown_command_is_rejected_if_it_proves_never_holdable(crew: Crew, builds: Builds) -> None:
    """An unknown name is held; the build that knows it as never holdable rejects it."""
    known = COMMANDS["end_membership"]
    builds.knows("end_membership", None)
    (said,) = push(crew.owner, ("end_membership", {"id": str(crew.mechanic.member_id)}))
    assert (said.status, said.code) == ("held", "unknown_command")
    builds.knows("end_membership", known)
    printed()
    assert (logged(crew.owner, said.id).status, logged(crew.owner, said.id).code) == ("rejected", "never_held")


def test_held_command_of_a_former_member_opens_an_issue(crew: Crew, builds: Builds) -> None:
    known = COMMANDS["add_customer"]
    builds.knows("add_customer", None)
    (said,) = push(crew.mechanic, ("add_customer", {"id": str(uuid7()), "name": "Winnie"}))
    do(crew.owner, end_membership, id=crew.mechanic.member_id)
    builds.knows("add_customer", known)
    printed()
    assert names(crew) == []
    assert held_issue_of(crew.owner, said.id).state == "open"


# Versions of commands


class NewCustomerVersion2(NewCustomer):
    """Version 2 has two names where version 1 had one."""

    family_name: str


def split_name(args: dict[str, Any]) -> dict[str, Any]:
    first, _, family = args["name"].partition(" ")
    return {**args, "name": first, "family_name": family}


@command(needs=Permission.MANAGE_CUSTOMERS, upgrades={1: split_name})
def add_customer(*, actor: Actor, data: NewCustomerVersion2) -> Customer:
    """Add a customer by two names."""
    name = f"{data.family_name}, {data.name}"
    return Customer.objects.create(id=data.id, shop_id=actor.shop_id, name=name)


def test_newer_command_version_is_held_until_known(crew: Crew, builds: Builds) -> None:
    """Newer arguments may fit the older schema and mean something else, so they are not tried."""
    args = {"id": str(uuid7()), "name": "Winnie"}
    (said,) = push(crew.mechanic, ("add_customer", args), v=2)
    assert (said.status, said.code) == ("held", "unknown_command")
    assert names(crew) == []
    builds.knows(
        "add_customer", replace(cast(Any, add_customer), schema=NewCustomer, service=COMMANDS["add_customer"].service)
    )
    assert "Held commands of phones run: 1" in printed()
    assert names(crew) == ["Winnie"]


def test_older_command_version_is_upgraded(crew: Crew, builds: Builds) -> None:
    assert (add_customer.v, COMMANDS["add_customer"].v) == (2, 1)
    builds.knows("add_customer", add_customer)
    (old,) = push(crew.mechanic, ("add_customer", {"id": str(uuid7()), "name": "Winnie Stroud"}), v=1)
    args = {"id": str(uuid7()), "name": "Tom", "family_name": "Reed"}
    (new,) = push(crew.mechanic, ("add_customer", args), v=2)
    assert (old.status, new.status) == ("applied", "applied")
    assert names(crew) == ["Reed, Tom", "Stroud, Winnie"]
    # An upgrade that cannot read the arguments holds the command: the next build may.
    (unread,) = push(crew.mechanic, ("add_customer", {"id": str(uuid7())}), v=1)
    assert (unread.status, unread.code) == ("held", "internal")
