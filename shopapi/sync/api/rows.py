"""The OpenAPI schema of rows by kind: a list is present when it has rows."""

from typing import TYPE_CHECKING, Any

from pydantic import create_model

from shopapi.core.schema import Schema
from shopapi.sync.queries import synced_kinds

_LISTS: dict[str, Any] = {kind: (list[resource.row], []) for kind, resource in synced_kinds().items()}  # type: ignore[name-defined] # a type made at run time

if TYPE_CHECKING:
    Rows = Schema
else:
    Rows = create_model("Rows", __base__=Schema, **_LISTS)
