"""Numbers without gaps: given out under the shop's head lock, given back by a rollback."""

from uuid import UUID

from django.db.models import F

from shopapi.core.models import Counter


def next_number(shop_id: UUID, series: str, *, first: int) -> int:
    """The next number of a series; the caller holds the shop's head lock."""
    Counter.objects.get_or_create(shop_id=shop_id, series=series, defaults={"last": first - 1})
    counters = Counter.objects.filter(shop_id=shop_id, series=series)
    counters.update(last=F("last") + 1)
    return counters.values_list("last", flat=True).get()
