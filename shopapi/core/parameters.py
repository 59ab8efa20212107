"""Query strings: the parameters of a read and the filters of a list."""

from typing import Self

from django.db.models import Q
from django.utils.datastructures import MultiValueDict
from pydantic import BaseModel, ConfigDict, ValidationError

from shopapi.core.errors import FieldError, Invalid
from shopapi.core.schema import faults_in

PAGE_DEFAULT, PAGE_MOST = 50, 200


class Parameters(BaseModel):
    """Base of the parameters of a read: each field is a query parameter."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    @classmethod
    def read(cls, query: MultiValueDict[str, str]) -> Self:
        """Raise Invalid for an unknown, doubled or ill-formed parameter."""
        faults = [FieldError(key, "given_twice") for key, values in query.lists() if len(values) > 1]
        if faults:
            raise Invalid("invalid", message="parameter_given_twice", fields=faults)
        try:
            return cls.model_validate(query.dict())
        except ValidationError as error:
            raise Invalid("invalid", message="parameters_invalid", fields=faults_in(error)) from None


class Filters(Parameters):
    """Base of a resource's list filters; the lookup of a field is its `json_schema_extra`."""

    cursor: str = ""
    limit: int = PAGE_DEFAULT

    @classmethod
    def lookups(cls) -> dict[str, str]:
        """The Django lookup of each filter, by the filter's name."""
        found = {}
        for name in cls.model_fields.keys() - {"cursor", "limit"}:
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
