"""Backups and restores, as an operator records them, so that phones know what they may delete."""

from collections.abc import Collection
from dataclasses import dataclass
from uuid import UUID

from django.db.models import F
from django.db.models.functions import Greatest

from shopapi.accounts.models import Device
from shopapi.accounts.queries import every_shop
from shopapi.core.feed import lock_shop
from shopapi.core.models import SyncCommit, SyncHead
from shopapi.core.tenancy import in_shop


@dataclass(frozen=True)
class ShopBackup:
    """The content of a backup for one shop: its last commit with that commit's token, each device's last number."""

    shop_id: UUID
    seq: int
    token: UUID
    last_no: dict[UUID, int]


def record_backup(backups: Collection[ShopBackup]) -> int:
    """Let phones delete acknowledged commands that a backup holds. Returns the number of shops it covers.

    A backup from another history of a shop (made before an older one was restored) is ignored.
    """
    return sum(_record(backup) for backup in backups if backup.shop_id in set(every_shop()))


def _record(backup: ShopBackup) -> bool:
    with in_shop(backup.shop_id):
        lock_shop(backup.shop_id)
        commits = SyncCommit.objects.filter(shop_id=backup.shop_id, seq=backup.seq, token=backup.token)
        if not commits.exists():
            return False
        for device_id, last_no in backup.last_no.items():
            known = Device.objects.filter(shop=backup.shop_id, id=device_id)
            known.update(safe_no=Greatest(F("safe_no"), last_no))
        return True


def record_restore() -> int:
    """Raise every shop's epoch after a restore: cursors become invalid and phones resend what they still store."""
    shops = every_shop()
    for shop_id in shops:
        with in_shop(shop_id):
            SyncHead.objects.filter(shop_id=shop_id).update(epoch=F("epoch") + 1)
    return len(shops)
