"""Three-way merge of edits: edits of different fields merge, a clash opens an issue."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar
from uuid import UUID

from django.db import models

from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.errors import Clash, EditedTwice, FieldError, Invalid, Reason
from shopapi.core.feed import open_issue
from shopapi.core.models import Issue
from shopapi.core.schema import Edit, Schema, parse, to_json

M = TypeVar("M", bound=models.Model)
F = TypeVar("F", bound=Schema)


@dataclass(frozen=True)
class Merge:
    """Which fields may be written and which clash, with their values as JSON."""

    takes: dict[str, Any]
    clashes: dict[str, Any]


def merge(
    current: Mapping[str, Any], base: Mapping[str, Any], wanted: Mapping[str, Any], *, together: Collection[str] = ()
) -> Merge:
    """Compare three states of the same fields: as stored, as the editor saw them, as the editor wants them.

    `together` names fields that mean something only as one, such as both coordinates: if one clashes, all do.

    >>> merge({"name": "A", "phone": "1"}, {"name": "A", "phone": "0"}, {"name": "B", "phone": "2"})
    Merge(takes={'name': 'B'}, clashes={'phone': '2'})
    """
    changing = {key: value for key, value in wanted.items() if current[key] != value}
    clashing = {key for key in changing if current[key] != base[key]}
    if clashing & set(together):
        clashing |= set(together)
    clashes = {key: value for key, value in changing.items() if key in clashing}
    return Merge({key: value for key, value in changing.items() if key not in clashes}, clashes)


def edited(row: models.Model, edit: Edit[F]) -> F:
    """The fields as they would be after an edit without clashes. Raises Invalid."""
    fields = edit.fields()
    return parse(fields, {name: to_json(getattr(row, name)) for name in fields.model_fields} | edit.set)


def edit_row(
    *,
    actor: Actor,
    kind: str,
    row: M,
    edit: Edit[Any],
    together: Collection[str] = (),
    issue_named_after: tuple[str, UUID] | None = None,
) -> M:
    """Write the fields of an edit that do not clash; file an issue for those that do.

    An actor who reads the answer at once gets the clash instead (EditedTwice), and nothing is written.

    The edit's fields hold for the whole row as it would be. Raises Invalid when `base` and `set` name different fields
    or a value does not fit. `issue_named_after`: see `open_issue`.
    """
    if not edit.set or edit.base.keys() != edit.set.keys():
        raise Invalid("base_mismatch", fields=[FieldError("base", "base_mismatch")])
    whole = edited(row, edit)
    values = {key: getattr(whole, key) for key in edit.set}
    current = {key: to_json(getattr(row, key)) for key in edit.set}
    seen_values = to_json(edit.base)
    outcome = merge(current, seen_values, to_json(values), together=together)
    if outcome.clashes and actor.asks_again:
        raise EditedTwice(
            {key: Clash(seen_values[key], current[key], wanted) for key, wanted in outcome.clashes.items()}
        )
    if outcome.takes:
        for key in outcome.takes:
            # Schemas within a schema, one or a list of them, are stored as plain JSON.
            stored_as_json = isinstance(row._meta.get_field(key), models.JSONField)
            setattr(row, key, to_json(values[key]) if stored_as_json else values[key])
        row.save(update_fields=list(outcome.takes))
        seen = {key: current[key] for key in outcome.takes}
        record(actor, f"{kind} edited", (kind, row.pk), before=seen, after=outcome.takes)
    if outcome.clashes:
        open_issue(
            shop_id=actor.shop_id,
            kind=Issue.Kind.CONFLICT,
            command_id=actor.command_id,
            name=f"edit_{kind}",
            entity=(kind, row.pk),
            reason=Reason("edited_twice"),
            theirs={key: current[key] for key in outcome.clashes},
            ours=outcome.clashes,
            member_id=actor.member_id,
            named_after=issue_named_after,
        )
    return row
