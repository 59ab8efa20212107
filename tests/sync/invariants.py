"""The database's content, read as its owner role, and the invariants of the protocol as assertions."""

import hashlib
import json
from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager
from typing import Any
from uuid import UUID

from django.db import connections, transaction

from shopapi.core.resources import all_resources
from shopapi.core.schema import parse
from shopapi.quotes.rules import QuoteLine, ShopPrices, compute_totals
from shopapi.sync.rules.cursor import parse_cursor
from shopapi.sync.services.push import PUSH_COMMANDS
from tests.sync.simulated_phone import SimulatedPhone

TABLES = {resource.kind: resource.model._meta.db_table for resource in all_resources() if resource.synced}
# Those of programs too.
FEED_TABLES = {resource.kind: resource.model._meta.db_table for resource in all_resources() if resource.in_feed}
# Columns that differ between two runs of the same commands.
VOLATILE_COLUMNS = {
    "created_at",
    "changed_at",
    "opened_at",
    "offered_at",
    "received_at",
    "seq",
    "wall",
    "skew_ms",
    "earlier",
    "carried_out_at",
    # Instants of the server.
    "resumed_work",
    # The worker mints the id of what it stores.
    "pdf_id",
}
# Columns that the server fills with new ids.
SERVER_MINTED = {"issue": {"id"}}
PERSON_COLUMNS = {"shop_id", "member_id", "device_id", "taken_by_id", "found_by_id", "noted_by_id"}


def query(sql: str, *values: Any, by: str = "owner") -> list[tuple[Any, ...]]:
    """Rows of a query without row-level security; by "default": as the application's open transaction sees them."""
    with connections[by].cursor() as cursor:
        cursor.execute(sql, values)
        return cursor.fetchall() if cursor.description else []


def execute_sql(sql: str, *values: Any) -> None:
    """Run a statement without row-level security, as an operator might."""
    with connections["owner"].cursor() as cursor:
        cursor.execute(sql, values)


def table_rows(name: str, shop_id: UUID, *, by: str = "owner") -> list[dict[str, Any]]:
    column = "id" if name == "accounts_shop" else "shop_id"
    found = query(f"SELECT to_jsonb(t)::text FROM {name} t WHERE {column} = %s", shop_id, by=by)
    return [json.loads(text) for (text,) in found]


def content_hash(shop_id: UUID, *, same_people: bool = True) -> str:
    """SHA-256 of everything that a shop's commands wrote, including the log of outcomes."""
    return hashlib.sha256(json.dumps(shop_content(shop_id, same_people=same_people)).encode()).hexdigest()


def shop_content(shop_id: UUID, *, same_people: bool = True) -> dict[str, list[str]]:
    """Everything that a shop's commands wrote, by kind, sorted."""
    left_out = VOLATILE_COLUMNS | (set() if same_people else PERSON_COLUMNS)
    held = {}
    for kind, name in TABLES.items():
        if kind in ("shop", "price_book", "billing_settings", "member") and not same_people:
            continue
        dropped = left_out | SERVER_MINTED.get(kind, set())
        held[kind] = sorted(json.dumps(_without(row, dropped), sort_keys=True) for row in table_rows(name, shop_id))
    log = [_without(row, left_out) for row in table_rows("sync_loggedcommand", shop_id)]
    held["log"] = sorted(json.dumps(row, sort_keys=True) for row in log)
    held["counter"] = sorted(json.dumps(_without(row, left_out)) for row in table_rows("core_counter", shop_id))
    held["outbox"] = [json.dumps(sorted(row["task"] for row in table_rows("core_outbox", shop_id)))]
    return held


def _without(row: dict[str, Any], keys: Collection[str]) -> dict[str, Any]:
    return {key: value for key, value in row.items() if key not in keys}


def assert_server_invariants(shop_id: UUID, *, others: Collection[str] = ()) -> None:
    """The invariants that need no phone: I3, I8, I9, I14, I15. `others`: ids that another shop has used."""
    with _one_snapshot():
        _assert_every_number_has_an_outcome(shop_id)
        _assert_feed_complete(shop_id)
        _assert_facts_never_rejected(shop_id, others)
        _assert_totals_match(shop_id)
        _assert_overlaps_are_disputed(shop_id)


@contextmanager
def _one_snapshot() -> Iterator[None]:
    """Read all as of one instant: a worker, and what a killed web server had begun to commit, go on meanwhile."""
    if connections["owner"].in_atomic_block:
        # The transaction of a test that nobody else writes beside.
        yield
        return
    with transaction.atomic(using="owner"):
        execute_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        yield


def _assert_every_number_has_an_outcome(shop_id: UUID) -> None:
    for device_id, next_no in query("SELECT id, next_no FROM accounts_device WHERE shop_id = %s", shop_id):
        numbers = query("SELECT no FROM sync_loggedcommand WHERE device_id = %s ORDER BY no", device_id)
        assert [no for (no,) in numbers] == list(range(1, next_no))


def _assert_feed_complete(shop_id: UUID) -> None:
    ((seq,),) = query("SELECT seq FROM core_synchead WHERE shop_id = %s", shop_id)
    commits = query("SELECT seq, transaction FROM core_synccommit WHERE shop_id = %s ORDER BY seq", shop_id)
    assert [n for n, _ in commits] == list(range(1, seq + 1))
    assert len({transaction for _, transaction in commits}) == seq
    changes = query("SELECT kind, row_id::text, dead, seq FROM core_syncchange WHERE shop_id = %s", shop_id)
    assert all(1 <= change_seq <= seq for *_, change_seq in changes)
    living = {(kind, row_id) for kind, row_id, dead, _ in changes if not dead}
    assert living == {(kind, row["id"]) for kind, name in FEED_TABLES.items() for row in table_rows(name, shop_id)}


def _assert_facts_never_rejected(shop_id: UUID, others: Collection[str]) -> None:
    for row in table_rows("sync_loggedcommand", shop_id):
        fact = row["name"] in PUSH_COMMANDS and PUSH_COMMANDS[row["name"]].fact
        assert row["status"] in (("applied", "held") if fact else ("applied", "held", "rejected")), row
        assert (row["seq"] is not None) == (row["status"] == "applied")
    _assert_no_command_ran_twice(shop_id, others)
    _assert_waiting_rows_are_missing(shop_id)


def _assert_no_command_ran_twice(shop_id: UUID, others: Collection[str]) -> None:
    log = table_rows("sync_loggedcommand", shop_id)
    making = [row for row in log if row["name"] in PUSH_COMMANDS and PUSH_COMMANDS[row["name"]].creates_row]
    made = {row["args"].get("id") for row in making if row["status"] == "applied" or row["code"] == "needs_review"}
    assert all(row["args"]["id"] in {*made, *others} for row in log if row["code"] == "id_taken")


def _assert_waiting_rows_are_missing(shop_id: UUID) -> None:
    """A command that waits, unless left out by a person, waits for a row that this shop never had."""
    left_out = "SELECT command_id::text FROM core_issue WHERE entity_kind = 'command' AND state = 'resolved'"
    decided = {command_id for (command_id,) in query(left_out)}
    log = [row for row in table_rows("sync_loggedcommand", shop_id) if row["id"] not in decided]
    known = {row_id for (row_id,) in query("SELECT row_id::text FROM core_syncchange WHERE shop_id = %s", shop_id)}
    assert not {row["waits_for"] for row in log} & known
    assert all((row["waits_for"] is not None) == (row["code"] == "waits_for") for row in log)


def _assert_overlaps_are_disputed(shop_id: UUID) -> None:
    """I13: entries are disputed exactly while they overlap another of the member's or have an anomaly."""
    twice = query(
        "WITH live AS (SELECT *, CASE WHEN anomaly = 'ends_first' THEN 'empty'::tstzrange"
        " ELSE tstzrange(started_at, ended_at) END AS span FROM labor_timeentry"
        " WHERE shop_id = %s AND state <> 'replaced')"
        " SELECT a.id FROM live a WHERE (a.state = 'disputed') <> (a.anomaly <> '' OR EXISTS (SELECT FROM live b"
        " WHERE b.member_id = a.member_id AND b.id <> a.id AND a.span && b.span))",
        shop_id,
    )
    assert twice == []


def _assert_totals_match(shop_id: UUID) -> None:
    quotes = {row["id"]: row for row in table_rows("quotes_quote", shop_id)}
    lines = table_rows("quotes_line", shop_id)
    for row in table_rows("quotes_approval", shop_id):
        quote = quotes[row["quote_id"]]
        if row["matches"]:
            assert row["digest"] == quote["offer_digest"]
            own = [line for line in lines if line["quote_id"] == quote["id"]]
            assert row["accepted_total_minor"] == _total(quote, own, row["accepted_ids"])
        else:
            assert row["accepted_total_minor"] is None
    for quote in quotes.values():
        matching = [r for r in table_rows("quotes_approval", shop_id) if r["quote_id"] == quote["id"] and r["matches"]]
        # A decided quote that was revised afterwards keeps its approval.
        many = {"decided": (1,), "replaced": (0, 1)}.get(quote["state"], (0,))
        assert len(matching) in many


def _total(quote: dict[str, Any], lines: Iterable[dict[str, Any]], accepted: Collection[str]) -> int:
    names = set(QuoteLine.model_fields)
    figures = [{k: None if v is None else _text(v) for k, v in line.items() if k in names} for line in lines]
    read = [parse(QuoteLine, line) for line in figures]
    book = parse(ShopPrices, quote["basis"])
    return compute_totals(book, read, accepted={line.id for line in read if str(line.id) in accepted}).total_minor


def _text(value: Any) -> Any:
    return format(value, "f") if isinstance(value, float) else value


def assert_no_command_lost(shop_id: UUID, phones: Iterable[SimulatedPhone], written: Collection[str]) -> None:
    """I5: every command ever written is in the log or in a phone's outbox."""
    kept = {row["id"] for row in table_rows("sync_loggedcommand", shop_id)}
    assert set(written) <= kept | {entry.id for phone in phones for entry in phone.unsent()}


def assert_equals_snapshot(phone: SimulatedPhone) -> None:
    """I7 at rest: the rows a phone got by pulls equal a snapshot taken now."""
    assert phone.base == _fresh_copy(phone).base


def assert_consistent_at_cursor(phone: SimulatedPhone, shop_id: UUID) -> None:
    """I7 at any moment: a row unchanged since the phone's cursor equals the server's row now.

    The server may be writing: the change index is read after the rows, so that a row changed in between has a seq
    beyond the cursor and is not compared.
    """
    assert phone.cursor is not None
    cursor = parse_cursor(phone.cursor)
    assert cursor is not None
    base, shown = phone.base, _fresh_copy(phone).base
    changes = query("SELECT kind, row_id::text, seq FROM core_syncchange WHERE shop_id = %s", shop_id)
    seqs = {(kind, row_id): seq for kind, row_id, seq in changes}
    known = {key for key in base.keys() | shown.keys() if seqs[key] <= cursor.seq}
    assert {key: base.get(key) for key in known} == {key: shown.get(key) for key in known}


def _fresh_copy(phone: SimulatedPhone) -> SimulatedPhone:
    """A copy of the phone that holds only a snapshot taken now."""
    mirror = SimulatedPhone(phone.send, phone.rng, id=phone.id, letter=phone.letter)
    mirror.snapshot()
    return mirror
