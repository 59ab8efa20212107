"""What the database really holds, read as its owner, and what must always be true of it."""

import hashlib
import json
from collections.abc import Collection, Iterable
from typing import Any
from uuid import UUID

from django.db import connections

from shopapi.core.shape import decode
from shopapi.quotes.rules import PriceBook, QuoteLine, reckon
from shopapi.sync.rules import parse_cursor
from shopapi.sync.services.catalog import MAKERS
from shopapi.sync.services.pushing import KNOWN
from tests.sync.phone import Phone

TABLES = {
    "shop": "accounts_shop",
    "member": "accounts_member",
    "customer": "customers_customer",
    "site": "customers_site",
    "machine": "machines_machine",
    "meter_reading": "machines_meterreading",
    "job": "jobs_job",
    "complaint": "jobs_complaint",
    "finding": "jobs_finding",
    "time_entry": "labor_timeentry",
    "work_history": "labor_workhistory",
    "attachment": "files_attachment",
    "quote": "quotes_quote",
    "quote_line": "quotes_line",
    "approval": "quotes_approval",
    "approval_link": "quotes_approvallink",
    "owner_question": "quotes_ownerquestion",
    "signature": "quotes_signature",
    "issue": "core_issue",
}
# What differs between two runs of the same commands without meaning anything.
OF_THE_RUN = {"created_at", "changed_at", "opened_at", "offered_at", "received_at", "seq", "wall", "skew_ms"}
# Minted by the server.
MINTED = {"issue": {"id"}}
PEOPLE = {"shop_id", "member_id", "device_id", "taken_by_id", "found_by_id", "noted_by_id"}


def ask(sql: str, *values: Any, by: str = "owner") -> list[tuple[Any, ...]]:
    """Rows of a query past every policy; by "default": as the application's open transaction sees them."""
    with connections[by].cursor() as cursor:
        cursor.execute(sql, values)
        return cursor.fetchall() if cursor.description else []


def tell(sql: str, *values: Any) -> None:
    """A change past every policy: what an operator or an accident may do."""
    with connections["owner"].cursor() as cursor:
        cursor.execute(sql, values)


def table(name: str, shop_id: UUID, *, by: str = "owner") -> list[dict[str, Any]]:
    column = "id" if name == "accounts_shop" else "shop_id"
    found = ask(f"SELECT to_jsonb(t)::text FROM {name} t WHERE {column} = %s", shop_id, by=by)
    return [json.loads(text) for (text,) in found]


def content(shop_id: UUID, *, same_people: bool = True) -> str:
    """A hash of all that a shop's commands have made, the log of outcomes included."""
    left_out = OF_THE_RUN | (set() if same_people else PEOPLE)
    held = {}
    for kind, name in TABLES.items():
        if kind in ("shop", "member") and not same_people:
            continue
        dropped = left_out | MINTED.get(kind, set())
        held[kind] = sorted(json.dumps(_without(row, dropped), sort_keys=True) for row in table(name, shop_id))
    log = [_without(row, left_out) for row in table("sync_loggedcommand", shop_id)]
    held["log"] = sorted(json.dumps(row, sort_keys=True) for row in log)
    held["counter"] = sorted(json.dumps(_without(row, left_out)) for row in table("core_counter", shop_id))
    held["owed"] = [json.dumps(sorted(row["task"] for row in table("core_outbox", shop_id)))]
    return hashlib.sha256(json.dumps(held).encode()).hexdigest()


def _without(row: dict[str, Any], keys: Collection[str]) -> dict[str, Any]:
    return {key: value for key, value in row.items() if key not in keys}


def assert_sound(shop_id: UUID, *, others: Collection[str] = ()) -> None:
    """The invariants that need no phone: I3, I8, I9, I14, I15. `others`: ids that another shop has used."""
    _assert_numbers_have_outcomes(shop_id)
    _assert_feed_is_whole(shop_id)
    _assert_facts_are_kept(shop_id, others)
    _assert_money_is_right(shop_id)
    _assert_no_time_counts_twice(shop_id)


def _assert_numbers_have_outcomes(shop_id: UUID) -> None:
    for device_id, next_no in ask("SELECT id, next_no FROM accounts_device WHERE shop_id = %s", shop_id):
        numbers = ask("SELECT no FROM sync_loggedcommand WHERE device_id = %s ORDER BY no", device_id)
        assert [no for (no,) in numbers] == list(range(1, next_no))


def _assert_feed_is_whole(shop_id: UUID) -> None:
    ((seq,),) = ask("SELECT seq FROM core_synchead WHERE shop_id = %s", shop_id)
    commits = ask("SELECT seq, transaction FROM core_synccommit WHERE shop_id = %s ORDER BY seq", shop_id)
    assert [n for n, _ in commits] == list(range(1, seq + 1))
    assert len({transaction for _, transaction in commits}) == seq
    changes = ask("SELECT kind, row_id::text, dead, seq FROM core_syncchange WHERE shop_id = %s", shop_id)
    assert all(1 <= change_seq <= seq for *_, change_seq in changes)
    living = {(kind, row_id) for kind, row_id, dead, _ in changes if not dead}
    assert living == {(kind, row["id"]) for kind, name in TABLES.items() for row in table(name, shop_id)}


def _assert_facts_are_kept(shop_id: UUID, others: Collection[str]) -> None:
    for row in table("sync_loggedcommand", shop_id):
        fact = row["name"] in KNOWN and KNOWN[row["name"]].fact
        assert row["status"] in (("applied", "held") if fact else ("applied", "held", "rejected")), row
        assert (row["seq"] is not None) == (row["status"] == "applied")
    _assert_nothing_ran_twice_or_waits_in_vain(shop_id, others)


def _assert_nothing_ran_twice_or_waits_in_vain(shop_id: UUID, others: Collection[str]) -> None:
    log = table("sync_loggedcommand", shop_id)
    making = [row for row in log if row["name"] in MAKERS]
    made = {row["args"].get("id") for row in making if row["status"] == "applied" or row["code"] == "doubted"}
    refused = {row["args"].get("id") for row in making} - made
    assert all(row["args"]["id"] in {*made, *others} for row in log if row["code"] == "id_taken")
    assert {row["waits_for"] for row in log if row["waits_for"]} <= refused


def _assert_no_time_counts_twice(shop_id: UUID) -> None:
    """I13: entries are in dispute exactly while they share a moment with another of the member or are doubtful."""
    twice = ask(
        "WITH live AS (SELECT *, CASE WHEN doubt = 'ends_first' THEN 'empty'::tstzrange"
        " ELSE tstzrange(started_at, ended_at) END AS span FROM labor_timeentry"
        " WHERE shop_id = %s AND state <> 'replaced')"
        " SELECT a.id FROM live a WHERE (a.state = 'disputed') <> (a.doubt <> '' OR EXISTS (SELECT FROM live b"
        " WHERE b.member_id = a.member_id AND b.id <> a.id AND a.span && b.span))",
        shop_id,
    )
    assert twice == []


def _assert_money_is_right(shop_id: UUID) -> None:
    quotes = {row["id"]: row for row in table("quotes_quote", shop_id)}
    lines = table("quotes_line", shop_id)
    for row in table("quotes_approval", shop_id):
        quote = quotes[row["quote_id"]]
        if row["matches"]:
            assert row["digest"] == quote["offer_digest"]
            own = [line for line in lines if line["quote_id"] == quote["id"]]
            assert row["accepted_total_minor"] == _total(quote, own, row["accepted_ids"])
        else:
            assert row["accepted_total_minor"] is None
    for quote in quotes.values():
        matching = [r for r in table("quotes_approval", shop_id) if r["quote_id"] == quote["id"] and r["matches"]]
        # What was decided and revised afterwards keeps its approval.
        many = {"decided": (1,), "replaced": (0, 1)}.get(quote["state"], (0,))
        assert len(matching) in many


def _total(quote: dict[str, Any], lines: Iterable[dict[str, Any]], accepted: Collection[str]) -> int:
    names = set(QuoteLine.model_fields)
    figures = [{k: None if v is None else _text(v) for k, v in line.items() if k in names} for line in lines]
    read = [decode(QuoteLine, line) for line in figures]
    book = decode(PriceBook, quote["basis"])
    return reckon(book, read, accepted={line.id for line in read if str(line.id) in accepted}).total_minor


def _text(value: Any) -> Any:
    return format(value, "f") if isinstance(value, float) else value


def assert_nothing_lost(shop_id: UUID, phones: Iterable[Phone], written: Collection[str]) -> None:
    """I5: every command that was ever written down is in the log, or a phone still knows that it must be sent."""
    kept = {row["id"] for row in table("sync_loggedcommand", shop_id)}
    assert set(written) <= kept | {entry.id for phone in phones for entry in phone.unsent()}


def assert_shows_everything(phone: Phone) -> None:
    """I7 at rest: what a phone has gathered by pulls is what a snapshot of this moment gives."""
    assert phone.base == _mirror_of(phone).base


def assert_true_at_its_cursor(phone: Phone, shop_id: UUID) -> None:
    """I7 at any moment: a row that has not changed since the phone's cursor is there as the server shows it now.

    The server may be writing: the change index is read after the rows, so that whatever was changed in between has a
    number beyond the cursor, and nothing is said of it.
    """
    assert phone.cursor is not None
    cursor = parse_cursor(phone.cursor)
    assert cursor is not None
    base, shown = phone.base, _mirror_of(phone).base
    changes = ask("SELECT kind, row_id::text, seq FROM core_syncchange WHERE shop_id = %s", shop_id)
    seqs = {(kind, row_id): seq for kind, row_id, seq in changes}
    known = {key for key in base.keys() | shown.keys() if seqs[key] <= cursor.seq}
    assert {key: base.get(key) for key in known} == {key: shown.get(key) for key in known}


def _mirror_of(phone: Phone) -> Phone:
    """The same phone with nothing in it but a snapshot of this moment."""
    mirror = Phone(phone.send, phone.rng, id=phone.id, letter=phone.letter)
    mirror.snapshot()
    return mirror
