"""Edits with the values the editor saw: different fields both hold, a clash is laid before people."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from django.db import models

from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.errors import FieldError, Invalid
from shopapi.core.feed import lay_before_people
from shopapi.core.models import Issue
from shopapi.core.shape import Edit, Shape, decode, plain

M = TypeVar("M", bound=models.Model)


@dataclass(frozen=True)
class Merge:
    """Which wanted fields may be written and which clash, each as it stands on the wire."""

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


def edit_row(*, actor: Actor, kind: str, row: M, edit: Edit, fields: type[Shape], together: Collection[str] = ()) -> M:
    """Write the fields of an edit that do not clash; file an issue for those that do.

    `fields` says what may change and holds for the whole row as it would be. Raises Invalid when `base` and `set` name
    different fields or a value does not fit.
    """
    if not edit.set or edit.base.keys() != edit.set.keys():
        words = "Send the value you saw in “base” for each field in “set”, and nothing else."
        raise Invalid("base_mismatch", words, fields=[FieldError("base", "base_mismatch", words)])
    wanted = decode(fields, {name: plain(getattr(row, name)) for name in fields.model_fields} | edit.set)
    values = {key: getattr(wanted, key) for key in edit.set}
    current = {key: plain(getattr(row, key)) for key in edit.set}
    outcome = merge(current, plain(edit.base), plain(values), together=together)
    if outcome.takes:
        for key in outcome.takes:
            # A shape within a shape is kept as plain JSON.
            setattr(row, key, plain(values[key]) if isinstance(values[key], Shape) else values[key])
        row.save(update_fields=list(outcome.takes))
        seen = {key: current[key] for key in outcome.takes}
        record(actor, f"{kind} edited", (kind, row.pk), before=seen, after=outcome.takes)
    if outcome.clashes:
        lay_before_people(
            shop_id=actor.shop_id,
            kind=Issue.Kind.CONFLICT,
            command_id=actor.command_id,
            name=f"edit_{kind}",
            entity=(kind, row.pk),
            words="Two people changed the same thing. The earlier change stands until someone chooses.",
            theirs={key: current[key] for key in outcome.clashes},
            ours=outcome.clashes,
            member_id=actor.member_id,
        )
    return row
