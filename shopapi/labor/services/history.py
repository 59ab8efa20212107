"""The synced summary of what works took: worked out anew from the entries, so it can never drift."""

from shopapi.core.actor import Actor
from shopapi.core.feed import lock_head
from shopapi.labor.models import WorkHistory
from shopapi.labor.queries.history import done, summaries, work_histories


def gather_history(*, actor: Actor) -> int:
    """Bring the summary to what the shop's finished jobs say; returns how many of its rows changed.

    The caller holds the transaction. The shop's place in line is taken only if there is something to write.
    """
    wanted = summaries(done(actor))
    kept = {(row.operation, row.machine_kind): row for row in work_histories(actor)}
    differing = [key for key, (minutes, reworked) in wanted.items() if _differs(kept.get(key), minutes, reworked)]
    gone = [row for key, row in kept.items() if key not in wanted]
    if not differing and not gone:
        return 0
    lock_head(actor.shop_id)
    for key in differing:
        minutes, reworked = wanted[key]
        WorkHistory.objects.update_or_create(
            shop_id=actor.shop_id,
            operation=key[0],
            machine_kind=key[1],
            defaults={"minutes": minutes, "reworked": reworked},
        )
    WorkHistory.objects.filter(shop=actor.shop_id, id__in=[row.id for row in gone]).delete()
    return len(differing) + len(gone)


def _differs(row: WorkHistory | None, minutes: list[int], reworked: int) -> bool:
    return row is None or (row.minutes, row.reworked) != (minutes, reworked)
