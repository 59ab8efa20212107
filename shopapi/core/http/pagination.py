"""Cursor pagination."""

import base64
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from shopapi.core.errors import FieldError, Invalid
from shopapi.core.parameters import PAGE_MOST, Filters


def paginate(rows: QuerySet[Any], filters: Filters) -> tuple[list[Any], str | None]:
    """One page in the order of ids (order of creation), and the cursor of the next one."""
    if not 1 <= filters.limit <= PAGE_MOST:
        limits = {"least": 1, "most": PAGE_MOST}
        raise Invalid("invalid", fields=[FieldError("limit", "out_of_range", context=limits)])
    if filters.cursor:
        rows = rows.filter(id__gt=_decode_cursor(filters.cursor))
    found = list(rows.order_by("id")[: filters.limit + 1])
    more = len(found) > filters.limit
    found = found[: filters.limit]
    return found, _encode_cursor(found[-1].id) if more else None


def _encode_cursor(row_id: UUID) -> str:
    return base64.urlsafe_b64encode(row_id.bytes).decode().rstrip("=")


def _decode_cursor(text: str) -> UUID:
    try:
        return UUID(bytes=base64.urlsafe_b64decode(text + "=" * (-len(text) % 4)))
    except ValueError:
        raise Invalid("invalid", fields=[FieldError("cursor", "bad_cursor")]) from None
