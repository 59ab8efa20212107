"""I6: one call made over REST in a transaction that is rolled back, then by push from the same state."""

import json
from typing import Any
from uuid import UUID

from django.db import transaction
from django.test import Client

from shopapi.core.feed import lock_shop
from shopapi.core.tenancy import see_shop
from tests.factories.examples import rest_path
from tests.sync import invariants
from tests.sync.simulated_phone import OutboxEntry, SimulatedPhone

# REST has no device and no log, and opens no issue where a push would hold the command.
IGNORED_COLUMNS = invariants.VOLATILE_COLUMNS | {"device_id"}


def assert_rest_equals_push(shop_id: UUID, key: str, phone: SimulatedPhone, entry: OutboxEntry) -> bool:
    """Send one command of a phone both ways, as the member with `key`. False if other writes came between.

    An applied call must leave equal rows; a refused one equal codes and fields, and no rows. Where both changed the
    same fields, REST writes nothing and answers both values, which the push keeps in an issue.
    """
    with transaction.atomic():
        see_shop(shop_id)
        lock_shop(shop_id)
        seq = _seq(shop_id)
        ((next_no,),) = invariants.query("SELECT next_no FROM accounts_device WHERE id = %s", phone.id)
        # A command that waits for this row would run with the push, and is not part of the call.
        waiting = "SELECT FROM sync_loggedcommand WHERE shop_id = %s AND waits_for = %s"
        if next_no != entry.no or invariants.query(waiting, shop_id, entry.args["id"]):
            return False
        before = _rows(shop_id, by="default")
        answer = Client().post(
            f"/api/v1/{rest_path(entry.name, entry.args['id'])}",
            json.dumps(entry.args),
            content_type="application/json",
            headers={"Authorization": f"Token {key}", "Idempotency-Key": entry.id},
        )
        by_rest = _rows(shop_id, by="default")
        transaction.set_rollback(True)
    if answer.status_code == 503:
        return False
    phone.push_entries([entry])
    if _seq(shop_id) - seq > 1 or entry.outcome is None or entry.outcome["status"] == "duplicate":
        return False
    by_push = _rows(shop_id, by="owner")
    outcome, body = entry.outcome, answer.json()
    what = (entry, outcome, answer.status_code, body)
    if body.get("code") != "edited_twice" and (outcome["status"] == "applied" or outcome["code"] == "needs_review"):
        assert answer.status_code < 300, what
        assert _differing(by_rest, by_push) == {}, what
        return True
    if body["code"] == "edited_twice":
        # REST refuses the whole and shows both values; a phone is gone by then, so the push opens an issue with them.
        assert before == by_rest, what
        issues = [row for row in by_push["issue"] if row["command_id"] == entry.id]
        assert [(row["theirs"], row["ours"]) for row in issues] == [
            tuple({name: clash[side] for name, clash in body["clashes"].items()} for side in ("theirs", "ours"))
        ], what
        return True
    code = "not_found" if outcome["code"] == "waits_for" else outcome["code"]
    assert answer.status_code >= 400, what
    assert (code, outcome["fields"]) == (body["code"], body["fields"]), what
    by_push["issue"] = [row for row in by_push["issue"] if row["command_id"] != entry.id]
    assert before == by_rest == by_push, what
    return True


def _differing(one: dict[str, list[Any]], other: dict[str, list[Any]]) -> dict[str, tuple[list[Any], list[Any]]]:
    """The rows that only one of the two has, by kind."""
    sides = {
        kind: ([r for r in one[kind] if r not in rows], [r for r in rows if r not in one[kind]])
        for kind, rows in other.items()
    }
    return {kind: found for kind, found in sides.items() if any(found)}


def _seq(shop_id: UUID) -> int:
    ((seq,),) = invariants.query("SELECT seq FROM core_synchead WHERE shop_id = %s", shop_id)
    return int(seq)


def _rows(shop_id: UUID, *, by: str) -> dict[str, list[dict[str, Any]]]:
    found = {}
    for kind, name in invariants.TABLES.items():
        dropped = IGNORED_COLUMNS | invariants.SERVER_MINTED.get(kind, set())
        rows = [
            {k: v for k, v in row.items() if k not in dropped} for row in invariants.table_rows(name, shop_id, by=by)
        ]
        found[kind] = sorted(rows, key=lambda row: json.dumps(row, sort_keys=True))
    return found
