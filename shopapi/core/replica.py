"""Reports and searches read from a streaming replica where it has all that the shop committed, else from the primary.

Phones pull from the primary alone.
"""

import logging
from collections.abc import Callable
from contextvars import ContextVar
from typing import Any, TypeVar
from uuid import UUID

from django.conf import settings
from django.db import DEFAULT_DB_ALIAS, OperationalError, connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from shopapi.core.models import SyncHead
from shopapi.core.tenancy import see_shop

REPLICA = "replica"
T = TypeVar("T")
log = logging.getLogger("shopapi.core")
_reading: ContextVar[bool] = ContextVar("reading from the replica", default=False)


class ReplicaRouter:
    """Django's router: queries of a `read_where_current` go to the replica, writes and locks never do."""

    def db_for_read(self, model: Any, **hints: Any) -> str | None:
        return REPLICA if _reading.get() else None

    def allow_migrate(self, db: str, app_label: str, **hints: Any) -> bool | None:
        return False if db == REPLICA else None


def reading_connection() -> BaseDatabaseWrapper:
    """The connection for a read in raw SQL: that of the replica within a `read_where_current` that uses it."""
    return connections[REPLICA if _reading.get() else DEFAULT_DB_ALIAS]


def read_where_current(shop_id: UUID, read: Callable[[], T]) -> T:
    """What `read` returns, which only reads. It sees at least what the shop had committed when this was called.

    It is called again, on the primary, if the replica fails or ends the query to follow the primary.
    """
    if REPLICA not in settings.DATABASES:
        return read()
    committed = _commits(shop_id, DEFAULT_DB_ALIAS)
    try:
        with transaction.atomic(using=REPLICA):
            see_shop(shop_id, using=REPLICA)
            if _commits(shop_id, REPLICA) >= committed:
                mark = _reading.set(True)
                try:
                    return read()
                finally:
                    _reading.reset(mark)
    except OperationalError:
        log.warning("The replica does not answer: read from the primary.", exc_info=True)
    return read()


def _commits(shop_id: UUID, using: str) -> int:
    """The shop's commits there; -1 where there is no such shop yet."""
    found = SyncHead.objects.using(using).filter(shop_id=shop_id).values_list("seq", flat=True)
    return next(iter(found), -1)
