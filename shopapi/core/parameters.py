"""Query strings: the parameters of a read and the filters of a list."""

from collections.abc import Collection
from datetime import date
from typing import Any, Literal, Self

from django.db.models import Q
from django.utils.datastructures import MultiValueDict
from pydantic import BaseModel, ConfigDict, Field, ValidationError, create_model

from shopapi.core.errors import BadParameter, FieldError
from shopapi.core.schema import Moment, faults_in

PAGE_DEFAULT, PAGE_MOST = 50, 200


def refuse_doubled(query: MultiValueDict[str, str]) -> None:
    """Raise BadParameter where one is given twice: nobody can tell which of them counts."""
    faults = [FieldError(key, "given_twice") for key, values in query.lists() if len(values) > 1]
    if faults:
        raise BadParameter("invalid", message="parameter_given_twice", fields=faults)


class Parameters(BaseModel):
    """Base of the parameters of a read: each field is a query parameter."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    @classmethod
    def read(cls, query: MultiValueDict[str, str]) -> Self:
        """Raise BadParameter for an unknown, doubled or ill-formed parameter."""
        refuse_doubled(query)
        try:
            return cls.model_validate(query.dict())
        except ValidationError as error:
            raise BadParameter("invalid", message="parameters_invalid", fields=faults_in(error)) from None


Order = Literal["oldest", "newest"]


class Filters(Parameters):
    """Base of a resource's list filters; the lookup of a field is its `json_schema_extra`."""

    cursor: str = Field("", description="The `next` of the page before; leave it out for the first page.")
    # Checked where the page is read, which says the bounds in its own words.
    limit: int = Field(
        PAGE_DEFAULT,
        description="How many rows a page has at most.",
        json_schema_extra={"minimum": 1, "maximum": PAGE_MOST},
    )
    order: Order = Field("oldest", description="Which rows come first, by when they were made.")

    @classmethod
    def lookups(cls) -> dict[str, str]:
        """The Django lookup of each filter, by the filter's name."""
        found = {}
        for name in cls.model_fields.keys() - {"cursor", "limit", "order"}:
            extra = cls.model_fields[name].json_schema_extra
            found[name] = str(extra["lookup"]) if isinstance(extra, dict) and "lookup" in extra else name
        return found

    def narrow(self) -> Q:
        """The conditions of the given filters."""
        lookups = self.lookups()
        q = Q()
        for name in self.model_fields_set & lookups.keys():
            q &= Q(**{lookups[name]: getattr(self, name)})
        return q


def with_times(filters: type[Filters], days: Collection[str], instants: Collection[str]) -> type[Filters]:
    """The filters with a first and a last of each day, and a first and an end of each instant.

    >>> sorted(with_times(Filters, ["paid_on"], ["made_at"]).model_fields)
    ['cursor', 'limit', 'made_at_before', 'made_at_from', 'order', 'paid_on_from', 'paid_on_until']
    """
    found: dict[str, Any] = {}
    for name in days:
        found[f"{name}_from"] = _bound(date, f"{name}__gte", f"Only rows whose `{name}` is this day or later.")
        found[f"{name}_until"] = _bound(date, f"{name}__lte", f"Only rows whose `{name}` is this day or earlier.")
    for name in instants:
        found[f"{name}_from"] = _bound(Moment, f"{name}__gte", f"Only rows whose `{name}` is this or later.")
        found[f"{name}_before"] = _bound(Moment, f"{name}__lt", f"Only rows whose `{name}` is before this.")
    return create_model(filters.__name__, __base__=filters, **found)


def _bound(kind: Any, lookup: str, description: str) -> Any:
    return kind | None, Field(None, description=description, json_schema_extra={"lookup": lookup})
