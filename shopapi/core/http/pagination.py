"""Cursor pagination."""

import base64
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from shopapi.core.errors import BadParameter, FieldError
from shopapi.core.parameters import PAGE_MOST, Filters


def paginate(rows: QuerySet[Any], filters: Filters) -> tuple[list[Any], str | None]:
    """One page in the order of ids (order of creation) or the reverse, and the cursor of the next one.

    Raises BadParameter.
    """
    newest = filters.order == "newest"
    if not 1 <= filters.limit <= PAGE_MOST:
        limits = {"least": 1, "most": PAGE_MOST}
        raise BadParameter("invalid", fields=[FieldError("limit", "out_of_range", context=limits)])
    if filters.cursor:
        last = _decode_cursor(filters.cursor)
        rows = rows.filter(id__lt=last) if newest else rows.filter(id__gt=last)
    found = list(rows.order_by("-id" if newest else "id")[: filters.limit + 1])
    more = len(found) > filters.limit
    found = found[: filters.limit]
    return found, _encode_cursor(found[-1].id) if more else None


def _encode_cursor(row_id: UUID) -> str:
    return base64.urlsafe_b64encode(row_id.bytes).decode().rstrip("=")


def _decode_cursor(text: str) -> UUID:
    try:
        return UUID(bytes=base64.urlsafe_b64decode(text + "=" * (-len(text) % 4)))
    except ValueError:
        raise BadParameter("invalid", fields=[FieldError("cursor", "bad_cursor")]) from None
