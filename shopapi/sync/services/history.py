"""What an operator tells the server about backups, so that phones know what they may forget."""

from datetime import datetime

from django.db.models import F

from shopapi.accounts.queries import every_shop
from shopapi.core.models import SyncHead
from shopapi.core.tenancy import in_shop


def note_backup(*, made_at: datetime) -> int:
    """A verified backup holds everything up to this moment: phones may forget what it covers. Returns the shops."""
    return _each_shop(safe_at=made_at)


def note_restore() -> int:
    """A backup was restored: every cursor given out is void, and phones send again what they still keep."""
    return _each_shop(epoch=F("epoch") + 1)


def _each_shop(**values: object) -> int:
    shops = every_shop()
    for shop_id in shops:
        with in_shop(shop_id):
            SyncHead.objects.filter(shop_id=shop_id).update(**values)
    return len(shops)
