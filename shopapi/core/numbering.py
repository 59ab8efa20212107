"""Numbers without gaps: claimed under the shop's write lock, given back by a rollback."""

from collections.abc import Callable
from dataclasses import dataclass
from uuid import UUID

from django.db import connection

from shopapi.core.actor import Actor
from shopapi.core.errors import Reason
from shopapi.core.feed import open_issue
from shopapi.core.models import Counter, Issue

# A number from before a restore is accepted up to this far beyond the newest one; no backup is older than that.
REACH = 100_000


@dataclass(frozen=True)
class Series:
    """The numbers of one kind of row in a shop, such as J-1001, J-1002 and on."""

    name: str
    letter: str
    first: int

    def next(self, shop_id: UUID) -> str:
        """The next number; the caller holds the shop's head lock."""
        return f"{self.letter}-{next_number(shop_id, self.name, first=self.first)}"

    def take(self, actor: Actor, *, is_taken: Callable[[str], bool]) -> str:
        """The number for a new row: the one it had before a restore, unless another row has that by now.

        The numbers below it are not given out any more: their rows may still come back from other phones.
        """
        count = self._believed(actor)
        if count is None or is_taken(actor.number):
            return self.next(actor.shop_id)
        _raise_to(actor.shop_id, self.name, count)
        return actor.number

    def _believed(self, actor: Actor) -> int | None:
        digits = actor.number.removeprefix(f"{self.letter}-")
        if actor.number != f"{self.letter}-{digits}" or not (digits.isascii() and digits.isdigit()):
            return None
        if len(digits) > 9 or str(int(digits)) != digits:
            return None
        last = Counter.objects.filter(shop_id=actor.shop_id, series=self.name).values_list("last", flat=True).first()
        return int(digits) if self.first <= int(digits) <= (last or self.first) + REACH else None


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


def _raise_to(shop_id: UUID, series: str, least: int) -> None:
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO core_counter (shop_id, series, last) VALUES (%s, %s, %s)"
            " ON CONFLICT (shop_id, series) DO UPDATE SET last = greatest(core_counter.last, excluded.last)",
            [shop_id, series, least],
        )


def report_taken_number(actor: Actor, kind: str, row_id: UUID, number: str) -> None:
    """Open an issue: a row got another number after a restore than its documents show."""
    open_issue(
        shop_id=actor.shop_id,
        kind=Issue.Kind.CONFLICT,
        command_id=actor.command_id,
        name=f"number_{kind}",
        entity=(kind, row_id),
        reason=Reason("number_differs", {"number": actor.number}),
        theirs={"number": number},
        ours={"number": actor.number},
        member_id=actor.member_id,
    )


def called_before(mark: str, number: str, *, most: int = 20) -> str:
    """The mark of a row that had another number, so that a search still finds it by that one."""
    both = f"{mark} {number}".strip()
    return mark if number in mark.split() else both if len(both) <= most else number
