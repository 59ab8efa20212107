"""The audit trail as a chain: each event's digest covers the one before it, so that a changed or missing event shows.

A digest covers the event's columns and the digest of its details, which is salted. Erasing a customer changes the
details and deletes the salt: the chain still holds, and nobody can find out by trying what was erased. How many events
an erasure changed is an event itself, so that a change of details cannot pass for one.

The chain's head is a row of its own that only the trigger writes. Whoever may change the database as its owner can
write a whole new chain: a head that was noted elsewhere (`manage.py audit_heads`) shows that too.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from uuid import UUID

from django.db import connections

FUNCTIONS = """
CREATE FUNCTION audit_details_digest(salt uuid, details jsonb) RETURNS text
LANGUAGE sql IMMUTABLE SET search_path = public, pg_temp AS $$
    SELECT encode(sha256(convert_to(salt::text || details::text, 'UTF8')), 'hex');
$$;

CREATE FUNCTION audit_digest(before text, e core_auditevent) RETURNS text
LANGUAGE sql IMMUTABLE SET search_path = public, pg_temp AS $$
    SELECT encode(sha256(convert_to(jsonb_build_array(
        before, e.shop_id, e.no, e.id, extract(epoch FROM e.at), e.event, e.member_id, e.device_id, e.command_id,
        e.subject_kind, e.subject_id, e.details_digest)::text, 'UTF8')), 'hex');
$$;

CREATE FUNCTION audit_link() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
    head core_audithead;
BEGIN
    -- As every writer of a shop: its lock first.
    PERFORM FROM core_synchead WHERE shop_id = NEW.shop_id FOR UPDATE;
    SELECT * INTO head FROM core_audithead WHERE shop_id = NEW.shop_id FOR UPDATE;
    NEW.no := coalesce(head.no, 0) + 1;
    NEW.salt := gen_random_uuid();
    NEW.details_digest := audit_details_digest(NEW.salt, NEW.details);
    NEW.digest := audit_digest(coalesce(head.digest, ''), NEW);
    INSERT INTO core_audithead (shop_id, no, digest, first_no, before_first)
        VALUES (NEW.shop_id, NEW.no, NEW.digest, 1, '')
        ON CONFLICT (shop_id) DO UPDATE SET no = excluded.no, digest = excluded.digest;
    RETURN NEW;
END $$;

-- Old events go from the oldest on, up to the first that is younger; the head keeps the digest that the rest continues.
CREATE OR REPLACE FUNCTION audit_forget(of_shop uuid, before timestamptz, most integer) RETURNS integer
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
    head core_audithead;
    last_no bigint;
BEGIN
    IF of_shop IS DISTINCT FROM nullif(current_setting('app.shop_id', true), '')::uuid THEN
        RAISE EXCEPTION 'not the shop of this transaction';
    END IF;
    IF before > now() - interval '365 days' THEN RAISE EXCEPTION 'the audit trail is kept for 365 days'; END IF;
    PERFORM FROM core_synchead WHERE shop_id = of_shop FOR UPDATE;
    SELECT * INTO head FROM core_audithead WHERE shop_id = of_shop FOR UPDATE;
    SELECT coalesce(min(e.no) - 1, head.no) INTO last_no
        FROM core_auditevent e WHERE e.shop_id = of_shop AND e.at >= before;
    last_no := least(last_no, head.first_no + most - 1);
    IF last_no IS NULL OR last_no < head.first_no THEN RETURN 0; END IF;
    UPDATE core_audithead SET first_no = last_no + 1, before_first = (
        SELECT e.digest FROM core_auditevent e WHERE e.shop_id = of_shop AND e.no = last_no) WHERE shop_id = of_shop;
    DELETE FROM core_auditevent WHERE shop_id = of_shop AND no <= last_no;
    RETURN last_no - head.first_no + 1;
END $$;
"""

# For events of before the chain, in the order in which they were recorded.
LINK_EARLIER = """
DO $$
DECLARE
    e core_auditevent;
    head core_audithead;
BEGIN
    FOR e IN SELECT * FROM core_auditevent ORDER BY shop_id, at, id LOOP
        SELECT * INTO head FROM core_audithead WHERE shop_id = e.shop_id;
        e.no := coalesce(head.no, 0) + 1;
        e.salt := gen_random_uuid();
        e.details_digest := audit_details_digest(e.salt, e.details);
        e.digest := audit_digest(coalesce(head.digest, ''), e);
        UPDATE core_auditevent SET no = e.no, salt = e.salt, details_digest = e.details_digest, digest = e.digest
            WHERE id = e.id;
        INSERT INTO core_audithead (shop_id, no, digest, first_no, before_first)
            VALUES (e.shop_id, e.no, e.digest, 1, '')
            ON CONFLICT (shop_id) DO UPDATE SET no = excluded.no, digest = excluded.digest;
    END LOOP;
END $$;
"""

# Read with the owner's role: every shop, each event beside the digest that it should continue.
CHECK = """
    WITH linked AS (
        SELECT e.*, lag(e.no, 1, h.first_no - 1) OVER by_no AS no_before,
            lag(e.digest, 1, h.before_first) OVER by_no AS digest_before
        FROM core_auditevent e JOIN core_audithead h USING (shop_id)
        WINDOW by_no AS (PARTITION BY e.shop_id ORDER BY e.no)
    )
    SELECT l.shop_id, l.no, CASE
        WHEN l.no <> l.no_before + 1 THEN 'missing'
        WHEN l.digest <> audit_digest(l.digest_before, e) THEN 'changed'
        ELSE 'details' END
    FROM linked l JOIN core_auditevent e ON e.id = l.id
    WHERE l.no <> l.no_before + 1 OR l.digest <> audit_digest(l.digest_before, e)
        OR l.salt IS NOT NULL AND l.details_digest <> audit_details_digest(l.salt, l.details)
    UNION ALL
    SELECT h.shop_id, h.no, 'end' FROM core_audithead h
    WHERE h.no >= h.first_no AND NOT EXISTS (
        SELECT FROM core_auditevent e WHERE e.shop_id = h.shop_id AND e.no = h.no AND e.digest = h.digest)
    UNION ALL
    SELECT DISTINCT e.shop_id, 0, 'head' FROM core_auditevent e
    WHERE NOT EXISTS (SELECT FROM core_audithead h WHERE h.shop_id = e.shop_id)
    UNION ALL
    SELECT shop_id, 0, 'erased' FROM core_auditevent GROUP BY shop_id
    HAVING count(*) FILTER (WHERE salt IS NULL)
        > coalesce(sum((details ->> 'events')::bigint) FILTER (WHERE event = 'customer erased'), 0)
    ORDER BY 1, 2, 3
"""


@dataclass(frozen=True)
class ChainBreak:
    """Where a shop's chain does not hold: `no` is the event's number (0: of the shop as a whole).

    `what`: events before it are `missing`; the event was `changed`; its `details` were; the last events are missing
    (`end`); the `head` is; more details were `erased` than erasures tell of; the chain is not the one of which a head
    was noted (`other`).
    """

    shop_id: UUID
    no: int
    what: str


def heads() -> dict[UUID, tuple[int, str]]:
    """The number and digest of each shop's last event, read with the owner's role."""
    with connections["owner"].cursor() as cursor:
        cursor.execute("SELECT shop_id, no, digest FROM core_audithead ORDER BY shop_id")
        return {shop_id: (no, digest) for shop_id, no, digest in cursor.fetchall()}


def breaks(noted: Mapping[UUID, tuple[int, str]]) -> list[ChainBreak]:
    """Where the chains of all shops do not hold, read with the owner's role; `noted`: heads of earlier."""
    with connections["owner"].cursor() as cursor:
        cursor.execute(CHECK)
        found = [ChainBreak(*row) for row in cursor.fetchall()]
    return [*found, *_not_continued(noted.items())]


def _not_continued(noted: Iterable[tuple[UUID, tuple[int, str]]]) -> Iterator[ChainBreak]:
    with connections["owner"].cursor() as cursor:
        for shop_id, (no, digest) in noted:
            # An event that is older than the trail is kept leaves its digest only where it was the last deleted.
            cursor.execute(
                "SELECT coalesce(e.digest, CASE WHEN h.first_no = %(no)s + 1 THEN h.before_first"
                " WHEN h.first_no > %(no)s THEN %(digest)s END, '') FROM core_audithead h"
                " LEFT JOIN core_auditevent e ON e.shop_id = h.shop_id AND e.no = %(no)s WHERE h.shop_id = %(shop)s",
                {"shop": shop_id, "no": no, "digest": digest},
            )
            row = cursor.fetchone()
            if row is None or row[0] != digest:
                yield ChainBreak(shop_id, no, "other")
