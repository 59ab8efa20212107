"""What views declare for the OpenAPI document, and how operations are written into it."""

from collections.abc import Iterator, Mapping
from typing import Any

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.utils import OpenApiParameter
from rest_framework.views import APIView

from shopapi.core.http.problems import PROBLEM_TYPE, ProblemDetails
from shopapi.core.http.views import ShopView
from shopapi.core.parameters import Parameters

PROBLEMS = dict.fromkeys((400, 401, 403, 404, 406, 409, 413, 415, 422, 503), ProblemDetails)
# Of those, what only an operation with a body answers.
ONLY_WITH_BODY = {"413", "415"}
WITHOUT_BODY = {"get", "delete"}
PROBLEM_SCHEMA = "#/components/schemas/ProblemDetails"
# What each status of a refusal means, whatever the operation.
PROBLEM_MEANINGS: Mapping[str, str] = {
    "400": "The request cannot be read: a parameter is unknown, given twice, ill-formed or out of its bounds, a "
    "header is missing, or the body is no JSON.",
    "401": "Nobody is signed in, or the key is unknown or was revoked.",
    "403": "The member's role does not include the permission that this needs.",
    "404": "There is no such row in this shop. A row of another shop is refused in the same way.",
    "406": "None of the media types in `Accept` can be answered here.",
    "409": "The state of things does not allow this now, or another edit came first: then `clashes` has both values.",
    "410": "What the device holds cannot be continued from; it fetches everything anew.",
    "412": "A precondition in a header does not hold: the version of the protocol.",
    "413": "The body is too large.",
    "415": "The body is not of a media type that this reads.",
    "422": "The body is well formed JSON, but a field breaks a rule; `fields` says which.",
    "426": "The app is too old for the rows of this server.",
    "429": "Tried too often; `Retry-After` says after how many seconds it may be tried again.",
    "460": "The bytes that came do not have the checksum that was announced.",
    "503": "Something this needs is down or busy; `Retry-After` says when to try again.",
}


IF_NONE_MATCH = OpenApiParameter(
    "If-None-Match",
    str,
    OpenApiParameter.HEADER,
    description="The ETag that the reader has; while the row is still the same, the answer is 304 without a body.",
)
ETAG = OpenApiParameter(
    "ETag", str, OpenApiParameter.HEADER, response=["200", "304"], description="Changes with every change of the row."
)
LOCATION = OpenApiParameter(
    "Location", str, OpenApiParameter.HEADER, response=["201"], description="The address of the new row."
)


class OperationSchema(AutoSchema):
    """One operation of the document. drf-spectacular would read from DRF's permissions alone who must sign in."""

    def get_auth(self) -> list[Any]:
        found: list[Any] = super().get_auth()
        return [one for one in found if one] if isinstance(self.view, ShopView) else found

    def get_operation(self, *args: Any, **options: Any) -> Any:
        """The operation; after what it does its description says which permission it needs."""
        operation = super().get_operation(*args, **options)
        if operation:
            needed = self.view.needs.get(self.method) if isinstance(self.view, ShopView) else None
            needs = f"Needs the permission `{needed}`." if needed else "Open to everybody who has the address."
            said = operation.get("description", "")
            operation["description"] = "\n\n".join(part for part in (said, needs) if part)
        return operation


def share_problems(result: Any, generator: Any, request: Any, public: Any) -> Any:
    """Postprocessing hook of drf-spectacular: refusals are `application/problem+json`, each written once.

    Operations refer to `components/responses`; a status that only a body can cause is left out where none is read.
    """
    shared: dict[str, Any] = {}
    for method, operation in operations_of(result):
        for status, response in list(operation["responses"].items()):
            content = response.get("content", {}).get("application/json")
            if not content or content["schema"].get("$ref") != PROBLEM_SCHEMA:
                continue
            if method in WITHOUT_BODY and status in ONLY_WITH_BODY:
                del operation["responses"][status]
                continue
            shared[f"Problem{status}"] = {
                "description": PROBLEM_MEANINGS[status],
                "content": {PROBLEM_TYPE: content},
            }
            operation["responses"][status] = {"$ref": f"#/components/responses/Problem{status}"}
    result["components"]["responses"] = dict(sorted(shared.items()))
    return result


def operations_of(document: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """Each operation of an OpenAPI document with its method."""
    for path in document["paths"].values():
        yield from path.items()


def bases_of_views() -> list[type]:
    """The classes whose docstrings are for us, not for readers of the API."""
    return [ShopView, APIView, object]


def query_parameters(filters: type[Parameters]) -> list[OpenApiParameter]:
    """The query parameters of a `Parameters` class, for the OpenAPI document."""
    schema = filters.model_json_schema()
    needed = schema.get("required", [])
    return [
        OpenApiParameter(
            name,
            _plain_schema(info, schema),
            OpenApiParameter.QUERY,
            required=name in needed,
            description=info.get("description", ""),
        )
        for name, info in schema["properties"].items()
    ]


# What of a field's JSON schema holds for a parameter too.
KEPT = (
    "type",
    "format",
    "enum",
    "const",
    "minimum",
    "maximum",
    "minLength",
    "maxLength",
    "pattern",
    "items",
    "default",
)


def _plain_schema(info: Mapping[str, Any], schema: Mapping[str, Any]) -> dict[str, Any]:
    """The JSON schema of a parameter, without references and without null: one that is not given is left out."""
    if "$ref" in info:
        info = {**schema["$defs"][info["$ref"].rpartition("/")[2]], **info}
    listed = [part for part in info.get("anyOf", []) if part.get("type") != "null"]
    if listed:
        return _plain_schema({**listed[0], **{key: info[key] for key in ("default",) if key in info}}, schema)
    found = {key: info[key] for key in KEPT if key in info and not (key == "default" and info[key] is None)}
    return found or {"type": "string"}
