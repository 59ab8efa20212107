"""The audit trail is a chain: whatever is changed in it behind the application's back shows."""

import json
from datetime import timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, connections
from django.db.utils import ProgrammingError

from shopapi.core.audit import record
from shopapi.core.audit_chain import ChainBreak, breaks, heads
from shopapi.core.clock import held_at, now
from shopapi.core.feed import lock_shop
from shopapi.core.models import AuditEvent
from shopapi.core.tenancy import in_shop
from shopapi.sync.services.retention import KeepDays, drop_old_rows
from tests.factories.crews import Crew, open_crew

KEEP = KeepDays(outbox=30, receipts=30, changes=180, commands=180, audit=400)


@pytest.fixture
def crews(committed_db: None) -> tuple[Crew, Crew]:
    return open_crew("Alder Yard"), open_crew("Birch Yard")


def note(crew: Crew, count: int) -> None:
    for number in range(count):
        with in_shop(crew.shop_id):
            lock_shop(crew.shop_id)
            record(crew.owner, "noted", ("shop", crew.shop_id), number=number)


def as_owner(statement: str, *values: Any) -> None:
    with connections["owner"].cursor() as cursor:
        cursor.execute(statement, values)


def numbers(shop_id: UUID) -> list[int | None]:
    with in_shop(shop_id):
        return list(AuditEvent.objects.order_by("no").values_list("no", flat=True))


def test_each_shop_has_a_chain_of_its_own_that_holds(crews: tuple[Crew, Crew]) -> None:
    for crew in crews:
        note(crew, 5)
    for crew in crews:
        found = numbers(crew.shop_id)
        assert found == list(range(1, len(found) + 1))
        assert len(found) >= 5
    assert breaks({}) == []
    assert breaks(heads()) == []
    assert set(heads()) == {crew.shop_id for crew in crews}


@pytest.mark.parametrize(
    ("tampering", "what", "no"),
    [
        ("UPDATE core_auditevent SET details = '{}' WHERE shop_id = %s AND no = 3", "details", 3),
        ("UPDATE core_auditevent SET event = 'other' WHERE shop_id = %s AND no = 3", "changed", 3),
        ("UPDATE core_auditevent SET at = at + interval '1 us' WHERE shop_id = %s AND no = 3", "changed", 3),
        ("UPDATE core_auditevent SET member_id = NULL WHERE shop_id = %s AND no = 3", "changed", 3),
        ("DELETE FROM core_auditevent WHERE shop_id = %s AND no = 3", "missing", 4),
        ("DELETE FROM core_auditevent WHERE shop_id = %s AND no <= 2", "missing", 3),
        ("UPDATE core_auditevent SET details = '{}', salt = NULL WHERE shop_id = %s AND no = 3", "erased", 0),
        ("DELETE FROM core_audithead WHERE shop_id = %s", "head", 0),
    ],
)
def test_what_the_owner_of_the_database_changes_shows(
    crews: tuple[Crew, Crew], tampering: str, what: str, no: int
) -> None:
    crew = crews[0]
    note(crew, 6)
    as_owner(tampering, crew.shop_id)
    assert ChainBreak(crew.shop_id, no, what) in breaks({})
    assert {found.shop_id for found in breaks({})} == {crew.shop_id}
    with pytest.raises(CommandError, match="does not hold"):
        call_command("audit", "check")


def test_the_newest_events_cannot_be_cut_off_unseen(crews: tuple[Crew, Crew], tmp_path: Path) -> None:
    crew = crews[0]
    note(crew, 6)
    noted = heads()
    last = noted[crew.shop_id][0]
    as_owner("DELETE FROM core_auditevent WHERE shop_id = %s AND no > %s", crew.shop_id, last - 2)
    assert breaks({}) == [ChainBreak(crew.shop_id, last, "end")]
    # Who adjusts the head too is found by one that was kept elsewhere.
    as_owner(
        "UPDATE core_audithead h SET no = e.no, digest = e.digest FROM core_auditevent e"
        " WHERE h.shop_id = %s AND e.shop_id = h.shop_id AND e.no = %s",
        crew.shop_id,
        last - 2,
    )
    assert breaks({}) == []
    assert breaks(noted) == [ChainBreak(crew.shop_id, last, "other")]
    note(crew, 4)
    assert breaks(noted) == [ChainBreak(crew.shop_id, last, "other")]
    kept = tmp_path / "heads.json"
    kept.write_text(json.dumps({str(shop): {"no": no, "digest": digest} for shop, (no, digest) in noted.items()}))
    with pytest.raises(CommandError, match="does not hold"):
        call_command("audit", "check", noted=kept)
    kept.write_text("[]")
    with pytest.raises(CommandError, match="is not a file that"):
        call_command("audit", "check", noted=kept)


def test_printed_heads_are_read_again(
    crews: tuple[Crew, Crew], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    note(crews[0], 2)
    call_command("audit", "heads")
    kept = tmp_path / "heads.json"
    kept.write_text(capsys.readouterr().out)
    note(crews[0], 2)
    call_command("audit", "check", noted=kept)
    assert "holds: 2." in capsys.readouterr().out


def test_the_application_cannot_write_the_chain(crews: tuple[Crew, Crew]) -> None:
    crew = crews[0]
    note(crew, 1)
    for statement in (
        "UPDATE core_audithead SET no = 1",
        "DELETE FROM core_audithead",
        "INSERT INTO core_audithead SELECT * FROM core_audithead",
        "UPDATE core_auditevent SET salt = NULL",
    ):
        denied = pytest.raises(ProgrammingError, match="permission denied")
        with denied, in_shop(crew.shop_id), connection.cursor() as cursor:
            cursor.execute(statement)
    # A place in the chain that the application names is not the one it gets.
    with in_shop(crew.shop_id):
        event = AuditEvent.objects.create(
            shop_id=crew.shop_id, event="noted", subject_kind="shop", subject_id=crew.shop_id, no=900, digest="0" * 64
        )
    assert numbers(crew.shop_id)[-1] == len(numbers(crew.shop_id))
    assert breaks({}) == []
    with in_shop(crew.shop_id):
        assert AuditEvent.objects.get(id=event.id).digest != "0" * 64


def test_the_chain_holds_when_old_events_are_deleted(crews: tuple[Crew, Crew]) -> None:
    crew = crews[0]
    note(crew, 5)
    before = heads()
    shift = now() + timedelta(days=402)
    as_owner("UPDATE shifted.clock SET shift = shift + interval '402 days'")
    with held_at(shift):
        note(crew, 3)
        noted = heads()
        dropped = drop_old_rows(shop_id=crew.shop_id, keep=KEEP, batch=2)
    assert dropped["audit"] >= 5
    assert len(numbers(crew.shop_id)) == 3
    assert breaks(noted) == []
    # A head of before is that of a deleted event: the last of them is still known.
    assert breaks(before) == []
    assert breaks({crew.shop_id: (before[crew.shop_id][0], "0" * 64)}) == [
        ChainBreak(crew.shop_id, before[crew.shop_id][0], "other")
    ]
    note(crew, 1)
    assert breaks(noted) == []
