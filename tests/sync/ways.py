"""I6: one call made two ways: over REST in a transaction that is taken back, then by push from the same state."""

import json
from typing import Any
from uuid import UUID

from django.db import transaction
from django.test import Client

from shopapi.core.feed import lock_head
from shopapi.core.tenancy import see_shop
from tests.sync import truth
from tests.sync.phone import Entry, Phone

PATHS = {
    "add_customer": "customers",
    "edit_customer": "customers/{id}/edit",
    "remove_customer": "customers/{id}/remove",
    "add_site": "sites",
    "remove_site": "sites/{id}/remove",
    "add_machine": "machines",
    "remove_machine": "machines/{id}/remove",
    "record_meter": "meter-readings",
    "open_job": "jobs",
    "edit_job": "jobs/{id}/edit",
    "move_job": "jobs/{id}/move",
    "add_complaint": "complaints",
    "record_finding": "findings",
    "remove_finding": "findings/{id}/remove",
    "draft_quote": "quotes",
    "offer_quote": "quotes/{id}/offer",
    "put_quote_line": "quote-lines",
    "decide_quote": "approvals",
    "settle_issue": "issues/{id}/settle",
    "start_clock": "time-entries",
    "stop_clock": "time-entries/{id}/stop",
    "drop_entry": "time-entries/{id}/drop",
    "settle_entries": "time-entries/{id}/settle",
}
# REST has no device and no log: nobody is told there what a push holds and lays before people.
LEFT_OUT = truth.OF_THE_RUN | {"device_id"}


def assert_both_ways_agree(shop_id: UUID, key: str, phone: Phone, entry: Entry) -> bool:
    """Send one command of a phone of the member with `key`; False if the state moved meanwhile and nothing is shown.

    A call that is applied must leave equal rows; one that is refused, equal codes and fields, and no trace.
    """
    with transaction.atomic():
        see_shop(shop_id)
        lock_head(shop_id)
        seq = _seq(shop_id)
        ((next_no,),) = truth.ask("SELECT next_no FROM accounts_device WHERE id = %s", phone.id)
        # What waits for this row would run with the push, and is not part of the call.
        waiting = "SELECT FROM sync_loggedcommand WHERE shop_id = %s AND waits_for = %s"
        if next_no != entry.no or truth.ask(waiting, shop_id, entry.args["id"]):
            return False
        before = _rows(shop_id, by="default")
        answer = Client().post(
            f"/api/v1/{PATHS[entry.name].format(**entry.args)}",
            json.dumps(entry.args),
            content_type="application/json",
            headers={"Authorization": f"Token {key}", "Idempotency-Key": entry.id},
        )
        by_rest = _rows(shop_id, by="default")
        transaction.set_rollback(True)
    if answer.status_code == 503:
        return False
    phone.push_raw([entry])
    if _seq(shop_id) - seq > 1 or entry.outcome is None or entry.outcome["status"] == "duplicate":
        return False
    by_push = _rows(shop_id, by="owner")
    outcome, body = entry.outcome, answer.json()
    what = (entry, outcome, answer.status_code, body)
    if outcome["status"] == "applied" or outcome["code"] == "doubted":
        assert answer.status_code < 300, what
        assert by_rest == by_push, what
        return True
    code = "not_found" if outcome["code"] == "waits_for" else outcome["code"]
    assert answer.status_code >= 400, what
    assert (code, outcome["fields"]) == (body["code"], body["fields"]), what
    by_push["issue"] = [row for row in by_push["issue"] if row["command_id"] != entry.id]
    assert before == by_rest == by_push, what
    return True


def _seq(shop_id: UUID) -> int:
    ((seq,),) = truth.ask("SELECT seq FROM core_synchead WHERE shop_id = %s", shop_id)
    return int(seq)


def _rows(shop_id: UUID, *, by: str) -> dict[str, list[dict[str, Any]]]:
    found = {}
    for kind, name in truth.TABLES.items():
        dropped = LEFT_OUT | truth.MINTED.get(kind, set())
        rows = [{k: v for k, v in row.items() if k not in dropped} for row in truth.table(name, shop_id, by=by)]
        found[kind] = sorted(rows, key=lambda row: json.dumps(row, sort_keys=True))
    return found
