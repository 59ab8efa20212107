"""Rows with ids minted elsewhere."""

from uuid import UUID

from django.db import IntegrityError, models
from django.db.models import ProtectedError
from psycopg.errors import UniqueViolation

from shopapi.core.errors import Conflict, FieldError

ID_TAKEN = "There is a row with this id already; take a new one."


def takes_known_id(error: IntegrityError) -> bool:
    """Whether a write failed on the id of a row out of sight: one of another shop."""
    cause = error.__cause__
    return isinstance(cause, UniqueViolation) and (cause.diag.constraint_name or "").endswith("_pkey")


def id_taken() -> Conflict:
    """The refusal of an id that names a row already, in the same words whosever row it is."""
    return Conflict("id_taken", ID_TAKEN, fields=[FieldError("id", "id_taken", ID_TAKEN)])


def refuse_known_id(model: type[models.Model], row_id: UUID) -> None:
    """Raise Conflict when the id names a row already; an id of another shop's row is refused by the key itself."""
    if model._default_manager.filter(pk=row_id).exists():
        raise id_taken()


def remove_row(row: models.Model, words: str) -> None:
    """Delete a row that nothing points at, keeping its id on the instance; raise Conflict with `words` otherwise."""
    row_id = row.pk
    try:
        row.delete()
    except ProtectedError:
        raise Conflict("in_use", words) from None
    row.pk = row_id
