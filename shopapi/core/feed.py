"""The change feed: one counter per shop, raised by triggers in the writer's own transaction.

No writer can forget it (ORM, bulk, raw SQL, admin, task): the triggers are the only way into the index.
"""

from dataclasses import dataclass
from uuid import UUID, uuid5

from django.db import connection

from shopapi.core.enums import IssueKind
from shopapi.core.errors import NotFound, Reason, pack
from shopapi.core.models import Issue, SyncHead

# One number per transaction and shop. The newest commit is ours exactly when we hold the head's lock already. Ids of
# transactions start over after a restore of a backup, so the time is compared as well.
FUNCTIONS = """
CREATE FUNCTION feed_seq(of_shop uuid) RETURNS bigint
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
    mine bigint := pg_current_xact_id()::text::bigint;
    n bigint;
BEGIN
    SELECT c.seq INTO n FROM core_synchead h
        JOIN core_synccommit c ON c.shop_id = h.shop_id AND c.seq = h.seq
        WHERE h.shop_id = of_shop AND c.transaction = mine AND c.at = now();
    IF n IS NOT NULL THEN RETURN n; END IF;
    INSERT INTO core_synchead (shop_id, epoch, seq, horizon) VALUES (of_shop, 1, 1, 0)
        ON CONFLICT (shop_id) DO UPDATE SET seq = core_synchead.seq + 1 RETURNING seq INTO n;
    INSERT INTO core_synccommit (shop_id, seq, token, transaction, at)
        VALUES (of_shop, n, gen_random_uuid(), mine, now());
    RETURN n;
END $$;

CREATE FUNCTION feed_write(of_shop uuid, of_kind text, of_row uuid, gone boolean) RETURNS void
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    INSERT INTO core_syncchange (shop_id, kind, row_id, seq, dead)
        VALUES (of_shop, of_kind, of_row, feed_seq(of_shop), gone)
        ON CONFLICT (shop_id, kind, row_id) DO UPDATE SET seq = excluded.seq, dead = excluded.dead;
$$;

CREATE FUNCTION feed_note() RETURNS trigger LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    IF TG_OP = 'DELETE' THEN PERFORM feed_write(OLD.shop_id, TG_ARGV[0], OLD.id, true);
    ELSE PERFORM feed_write(NEW.shop_id, TG_ARGV[0], NEW.id, false);
    END IF;
    RETURN NULL;
END $$;

CREATE FUNCTION feed_note_shop() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    IF TG_OP = 'DELETE' THEN PERFORM feed_write(OLD.id, TG_ARGV[0], OLD.id, true);
    ELSE PERFORM feed_write(NEW.id, TG_ARGV[0], NEW.id, false);
    END IF;
    RETURN NULL;
END $$;

CREATE FUNCTION touch_changed_at() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN NEW.changed_at := clock_timestamp(); RETURN NEW; END $$;

-- Only the triggers write the index. (Raising the counter by hand is harmless: an empty commit.)
REVOKE EXECUTE ON FUNCTION feed_write(uuid, text, uuid, boolean) FROM PUBLIC;
"""

# Old history is deleted by these alone, of the shop that the transaction sees, and never what is younger than a bound.
# The horizon moves first: a device whose cursor is below it takes a snapshot. The commit at the horizon stays, because
# a cursor may be there.
RETENTION_FUNCTIONS = """
CREATE FUNCTION feed_forget(of_shop uuid, before timestamptz, most integer) RETURNS integer
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
    edge bigint;
    changes integer;
    commits integer;
BEGIN
    IF of_shop IS DISTINCT FROM nullif(current_setting('app.shop_id', true), '')::uuid THEN
        RAISE EXCEPTION 'not the shop of this transaction';
    END IF;
    IF before > now() - interval '30 days' THEN RAISE EXCEPTION 'changes are kept for 30 days'; END IF;
    PERFORM FROM core_synchead WHERE shop_id = of_shop FOR UPDATE;
    SELECT max(seq) INTO edge FROM core_synccommit WHERE shop_id = of_shop AND at < before;
    IF edge IS NULL THEN RETURN 0; END IF;
    UPDATE core_synchead SET horizon = edge WHERE shop_id = of_shop AND horizon < edge;
    DELETE FROM core_syncchange WHERE shop_id = of_shop AND (kind, row_id) IN (
        SELECT kind, row_id FROM core_syncchange WHERE shop_id = of_shop AND dead AND seq <= edge LIMIT most);
    GET DIAGNOSTICS changes = ROW_COUNT;
    DELETE FROM core_synccommit WHERE shop_id = of_shop AND seq IN (
        SELECT seq FROM core_synccommit WHERE shop_id = of_shop AND seq < edge LIMIT most);
    GET DIAGNOSTICS commits = ROW_COUNT;
    RETURN changes + commits;
END $$;

CREATE FUNCTION audit_forget(of_shop uuid, before timestamptz, most integer) RETURNS integer
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE events integer;
BEGIN
    IF of_shop IS DISTINCT FROM nullif(current_setting('app.shop_id', true), '')::uuid THEN
        RAISE EXCEPTION 'not the shop of this transaction';
    END IF;
    IF before > now() - interval '365 days' THEN RAISE EXCEPTION 'the audit trail is kept for 365 days'; END IF;
    DELETE FROM core_auditevent WHERE shop_id = of_shop AND id IN (
        SELECT id FROM core_auditevent WHERE shop_id = of_shop AND at < before LIMIT most);
    GET DIAGNOSTICS events = ROW_COUNT;
    RETURN events;
END $$;
"""


@dataclass(frozen=True)
class Head:
    """The head of a shop's change feed."""

    epoch: int
    seq: int


def lock_shop(shop_id: UUID) -> Head:
    """Take the per-shop write lock. Every writer does this first, so two writers of a shop cannot deadlock."""
    head = SyncHead.objects.select_for_update().filter(shop_id=shop_id).first()
    if head is None:
        raise NotFound("shop", shop_id)
    return Head(epoch=head.epoch, seq=head.seq)


def claim_commit_seq(shop_id: UUID) -> int:
    """The sequence number of the current commit, claimed (with the shop's write lock) even if no row will change."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT feed_seq(%s)", [shop_id])
        (seq,) = cursor.fetchone()
    return int(seq)


# The `about_kind` of an issue about a held command.
HELD_COMMAND = "command"


def open_issue(
    *,
    shop_id: UUID,
    kind: IssueKind,
    command_id: UUID | None,
    name: str,
    entity: tuple[str, UUID | None],
    reason: Reason,
    theirs: dict[str, object],
    ours: dict[str, object],
    member_id: UUID | None,
    named_after: tuple[str, UUID | None] | None = None,
) -> Issue:
    """Open an issue, shown on every device of the shop until someone settles it.

    When a command runs again, it reopens the same issue. `named_after`: the row that an earlier build's issue was
    about, where that was another; phones of then settle the issue by the id that came of it.
    """
    entity_kind, entity_id = entity
    values = {
        "shop_id": shop_id,
        "kind": kind,
        "command_id": command_id,
        "name": name,
        "entity_kind": entity_kind,
        "entity_id": entity_id,
        "words": pack(reason),
        "theirs": theirs,
        "ours": ours,
        "member_id": member_id,
    }
    if command_id is None:
        return Issue.objects.create(**values)
    issue, made = Issue.objects.get_or_create(id=issue_of(shop_id, command_id, named_after or entity), defaults=values)
    if not made and issue.state == Issue.State.RESOLVED:
        issue.state, issue.choice, issue.words = Issue.State.OPEN, "", pack(reason)
        issue.save(update_fields=["state", "choice", "words"])
    return issue


def issue_of(shop_id: UUID, command_id: UUID, entity: tuple[str, UUID | None]) -> UUID:
    """The id of the issue that a command opens about a row.

    It depends on the command and the row alone, so that after a restore the same settlement settles it again.
    """
    return uuid5(shop_id, f"{command_id}:{entity[0]}:{entity[1]}")
