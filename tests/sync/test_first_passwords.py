"""First passwords that older versions stored in the log of commands are removed from it, issues and receipts."""

import json
from importlib import import_module
from types import SimpleNamespace

from django.apps import apps
from django.db import connection

from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.models import Issue, Receipt
from shopapi.core.tenancy import in_shop
from shopapi.sync.models import LoggedCommand
from shopapi.sync.rules.push import Envelope, command_digest
from tests.factories.crews import device_of, member_of, open_crew

PASSWORD = "a first password"


def test_first_passwords_are_removed_from_log_issues_and_receipts(db: None) -> None:
    crew = open_crew()
    migration = import_module("shopapi.sync.migrations.0004_no_first_passwords")
    command_id, args = uuid7(), {"id": str(uuid7()), "name": "Ivo", "role": "mechanic", "password": PASSWORD}
    with in_shop(crew.shop_id):
        LoggedCommand.objects.create(
            id=command_id,
            shop_id=crew.shop_id,
            device_id=device_of(crew.mechanic),
            member_id=member_of(crew.mechanic),
            no=1,
            name="add_member",
            args=args,
            digest="0" * 64,
            wall=now(),
            status="held",
        )
        Issue.objects.create(
            shop_id=crew.shop_id,
            kind="held",
            command_id=command_id,
            name="add_member",
            entity_kind="command",
            entity_id=command_id,
            words="Held.",
            theirs={"password": PASSWORD},
            ours=args,
        )
        Receipt.objects.create(
            shop_id=crew.shop_id,
            key=uuid7(),
            digest="1" * 64,
            status=201,
            body={"name": "Ivo", "role": "mechanic", "may_see_cost": False, "password": PASSWORD},
        )
        migration.take_passwords_out(apps, SimpleNamespace(connection=connection))
        logged = LoggedCommand.objects.get()
        issue, receipt = Issue.objects.get(), Receipt.objects.get()
    kept = json.dumps([logged.args, issue.ours, issue.theirs, receipt.body])
    assert PASSWORD not in kept
    assert receipt.body is not None
    assert (logged.args["name"], issue.ours["name"], receipt.body["name"]) == ("Ivo", "Ivo", "Ivo")
    # The same command sent again is still a duplicate.
    again = Envelope(id=command_id, no=1, name="add_member", args=args, wall=now())
    assert logged.digest == command_digest(again)
    assert receipt.digest == ""
