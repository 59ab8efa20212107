"""What views declare for the OpenAPI document: their problem responses and query parameters."""

from collections.abc import Mapping
from typing import Any

from drf_spectacular.utils import OpenApiParameter
from rest_framework.views import APIView

from shopapi.core.http.problems import ProblemDetails
from shopapi.core.http.views import ShopView
from shopapi.core.parameters import Parameters

PROBLEMS = dict.fromkeys((400, 401, 403, 404, 409, 415, 422), ProblemDetails)


def bases_of_views() -> list[type]:
    """The classes whose docstrings are for us, not for readers of the API."""
    return [ShopView, APIView, object]


def query_parameters(filters: type[Parameters]) -> list[OpenApiParameter]:
    """The query parameters of a `Parameters` class, for the OpenAPI document."""
    schema = filters.model_json_schema()
    needed = schema.get("required", [])
    return [
        OpenApiParameter(
            name, _openapi_type(info), OpenApiParameter.QUERY, required=name in needed, enum=_enum_in(info, schema)
        )
        for name, info in schema["properties"].items()
    ]


def _enum_in(info: Mapping[str, Any], schema: Mapping[str, Any]) -> list[Any] | None:
    """The enumerated values of a field, None aside."""
    if "$ref" in info:
        return _enum_in(schema["$defs"][info["$ref"].rpartition("/")[2]], schema)
    listed = [_enum_in(part, schema) for part in info.get("anyOf", [])]
    return next((values for values in listed if values), None) or info.get("enum")


def _openapi_type(info: Mapping[str, Any]) -> Any:
    schema = {key: info[key] for key in ("type", "format") if key in info}
    return schema or {"type": "string"}
