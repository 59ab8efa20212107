"""Find, refuse and remove a row by its id."""

import json
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from typing import TypeVar
from uuid import UUID

from django.db import IntegrityError, connection, models
from django.db.models import ProtectedError, QuerySet
from django.db.models.expressions import DatabaseDefault
from psycopg.errors import UniqueViolation

from shopapi.core.actor import Actor
from shopapi.core.errors import Conflict, FieldError, NotFound
from shopapi.core.schema import to_json

M = TypeVar("M", bound=models.Model)


def row_for(model: type[M], actor: Actor, row_id: UUID, *, field: str = "id", lock: bool = True) -> M:
    """The row of the actor's shop with this id, locked until the transaction ends. Raises NotFound, naming `field`.

    A row of an append-only table is not locked: it never changes, and the database refuses the lock.
    """
    statement = _statement(model, lock=lock and not getattr(model, "append_only", False))
    found = next(iter(model._default_manager.raw(statement, [actor.shop_id, row_id])), None)
    if found is None:
        raise NotFound(str(model._meta.verbose_name), row_id, field=field)
    return found


@cache
def _statement(model: type[models.Model], *, lock: bool) -> str:
    """The SQL that reads a row by its shop and its id. Most commands run it, and making it takes longer than that."""
    rows = model._default_manager.filter(shop_id=_NIL).filter(pk=_NIL)
    if lock:
        rows = rows.select_for_update(of=("self",))
    return str(rows.query.sql_with_params()[0])


_NIL = UUID(int=0)


def row_among(rows: QuerySet[M], row_id: UUID, *, field: str = "id", lock: bool = True) -> M:
    """As `row_for`, among the given rows, such as those that the actor may see."""
    if lock and not getattr(rows.model, "append_only", False):
        rows = rows.select_for_update(of=("self",))
    # Not `first()`, which would put the one row in order.
    found = next(iter(rows.filter(pk=row_id)), None)
    if found is None:
        raise NotFound(str(rows.model._meta.verbose_name), row_id, field=field)
    return found


def takes_known_id(error: IntegrityError) -> bool:
    """Whether a write failed because its id is that of another shop's row.

    A row whose secret is derived from its id then breaks two constraints. Which of them is named depends on the order
    in which the indexes were made, and a restored backup has another.
    """
    cause = error.__cause__
    broken = cause.diag.constraint_name or "" if isinstance(cause, UniqueViolation) else ""
    return broken.endswith(("_pkey", "_per_secret")) or "_token_hash_" in broken


def id_taken() -> Conflict:
    """The refusal of an id that is taken; the same for a row of another shop."""
    return Conflict("id_taken", fields=[FieldError("id", "id_taken")])


def refuse_known_id(model: type[models.Model], row_id: UUID) -> None:
    """Raise Conflict when the id is that of a row of this shop; the primary key refuses ids of other shops."""
    free = _free_ids.get()
    if free is not None and (model, row_id) in free:
        # Once only: the row that is made now takes it.
        free.discard((model, row_id))
        return
    if model._default_manager.filter(pk=row_id).exists():
        raise id_taken()


_free_ids: ContextVar[set[tuple[type[models.Model], UUID]] | None] = ContextVar("free_ids", default=None)


@contextmanager
def checked_together(wanted: Iterable[tuple[type[models.Model], UUID]]) -> Iterator[None]:
    """Let `refuse_known_id` find these ids checked already, with one query for each table.

    The caller holds the per-shop write lock. An id that is taken in between fails at its insertion.
    """
    asked: dict[type[models.Model], set[UUID]] = {}
    for model, row_id in wanted:
        asked.setdefault(model, set()).add(row_id)
    free: set[tuple[type[models.Model], UUID]] = set()
    for model, ids in asked.items():
        taken = set(model._default_manager.filter(pk__in=ids).values_list("pk", flat=True))
        free |= {(model, row_id) for row_id in ids - taken}
    outer = _free_ids.set(free)
    try:
        yield
    finally:
        _free_ids.reset(outer)


def insert_rows(rows: Sequence[models.Model]) -> None:
    """Insert new rows of one table in one statement, whose only parameter is a JSON text.

    `bulk_create` sends each value of each row as a parameter, which takes several times as long to build and to parse.
    What the database fills in (its defaults, what triggers set) is not read back.
    """
    if not rows:
        return
    table = connection.ops.quote_name(rows[0]._meta.db_table)
    fields = [(field.column, field.attname) for field in rows[0]._meta.local_concrete_fields if field.column]
    values = [{column: getattr(row, name) for column, name in fields} for row in rows]
    # The rows of a table leave the same columns to the database, or each would need a statement of its own.
    given = [column for column, value in values[0].items() if not isinstance(value, DatabaseDefault)]
    content = json.dumps([{column: one[column] for column in given} for one in values], default=to_json)
    columns = ", ".join(map(connection.ops.quote_name, given))
    with connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO {table} ({columns}) SELECT {columns} FROM jsonb_populate_recordset(NULL::{table}, %s)",  # noqa: S608
            [content],
        )


def remove_row(row: models.Model, message: str) -> None:
    """Delete a row that nothing points at, keeping its id on the instance; raise Conflict `in_use` otherwise.

    `message` is the code of the sentence that says what uses it.
    """
    row_id = row.pk
    try:
        row.delete()
    except ProtectedError:
        raise Conflict("in_use", message=message) from None
    row.pk = row_id
