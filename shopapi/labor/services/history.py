"""The synced work history, rebuilt from the entries each time so that it cannot drift from them."""

from shopapi.core.actor import Actor
from shopapi.core.feed import lock_shop
from shopapi.labor.models import WorkHistory
from shopapi.labor.queries.history import finished_work, summaries, work_histories


def rebuild_history(*, actor: Actor) -> int:
    """Rebuild the work history from the shop's finished jobs; returns how many rows changed.

    The caller holds the transaction. Takes the shop's write lock only if there is something to write.
    """
    wanted = summaries(finished_work(actor))
    kept = {(row.operation, row.machine_kind): row for row in work_histories(actor)}
    differing = [key for key, (minutes, reworked) in wanted.items() if _differs(kept.get(key), minutes, reworked)]
    gone = [row for key, row in kept.items() if key not in wanted]
    if not differing and not gone:
        return 0
    lock_shop(actor.shop_id)
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
