"""Marks on model fields: which ones hold personal data."""

from typing import Any, TypeVar

from django.db.models import Field, Model

F = TypeVar("F", bound="Field[Any, Any]")

ERASED = "(erased)"


def personal(field: F, *, instead: str = "") -> F:
    """Mark a field that says who a customer is or where they live. Makes no migration.

    Erasing the customer writes `instead` there, or nothing at all where the column may be empty (null).
    """
    vars(field)["erased_to"] = None if field.null else instead
    return field


def personal_fields(model: type[Model]) -> dict[str, str | None]:
    """The personal fields of a model, each with its value after the customer is erased."""
    return {field.name: vars(field)["erased_to"] for field in model._meta.concrete_fields if "erased_to" in vars(field)}
