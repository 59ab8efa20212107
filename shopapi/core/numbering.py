"""Numbers without gaps: given out under the shop's head lock, given back by a rollback."""

from uuid import UUID

from django.db import connection


def next_number(shop_id: UUID, series: str, *, first: int) -> int:
    """The next number of a series; the caller holds the shop's head lock."""
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO core_counter (shop_id, series, last) VALUES (%s, %s, %s)"
            " ON CONFLICT (shop_id, series) DO UPDATE SET last = core_counter.last + 1 RETURNING last",
            [shop_id, series, first],
        )
        (last,) = cursor.fetchone()
    return int(last)
