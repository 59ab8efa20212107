"""The edge: authentication's result becomes a shop, refusals become problem details, rows become pages.

An app describes its nouns (`Noun`); the views, the schema and the paths follow from the description.
"""

import base64
import hashlib
import json
import logging
import uuid
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any, ClassVar, Self
from uuid import UUID

from django.conf import settings
from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.db import IntegrityError, OperationalError
from django.db.models import Q, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import URLPattern, path
from drf_spectacular.utils import OpenApiParameter, extend_schema
from psycopg.errors import DiskFull
from pydantic import BaseModel, ConfigDict, ValidationError, create_model
from rest_framework import exceptions
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView, set_rollback

from shopapi.core.actor import Actor
from shopapi.core.commands import Command
from shopapi.core.errors import Conflict, DomainError, FieldError, Forbidden, Invalid, NotFound, TooMany, Unavailable
from shopapi.core.models import Receipt
from shopapi.core.rows import id_taken, takes_known_id
from shopapi.core.shape import Shape, decode, plain
from shopapi.core.tenancy import see_shop

log = logging.getLogger("shopapi.http")

STATUS_OF: Mapping[type[DomainError], int] = {
    TooMany: 429,
    NotFound: 404,
    Forbidden: 403,
    Conflict: 409,
    Invalid: 422,
    Unavailable: 503,
}
DJANGO_SAYS: Mapping[type[Exception], tuple[int, str, str]] = {
    Http404: (404, "not_found", "Nothing is here."),
    PermissionDenied: (403, "forbidden", "Your role does not include this."),
    RequestDataTooBig: (413, "too_large", "This is more than one request may carry; send less at a time."),
    RecursionError: (400, "too_deep", "This is nested too deeply."),
}
PAGE_DEFAULT, PAGE_MOST = 50, 200


class Fault(Shape):
    """One field at fault."""

    field: str
    code: str
    words: str


class Problem(Shape):
    """Problem details (RFC 9457): `code` is stable, `detail` is for people, `fields` names what to mend."""

    type: str
    title: str
    status: int
    detail: str
    code: str
    fields: list[Fault] = []
    trace: str = ""


def problem(
    status: int,
    code: str,
    detail: str,
    *,
    fields: tuple[FieldError, ...] = (),
    trace: str = "",
    more: Mapping[str, int | str] | None = None,
) -> Response:
    """A refusal as `application/problem+json`."""
    body = {
        "type": f"urn:drawbar:{code}",
        "title": code.replace("_", " ").capitalize(),
        "status": status,
        "detail": detail,
        "code": code,
        "fields": [asdict(fault) for fault in fields],
        "trace": trace,
        **(more or {}),
    }
    return Response(body, status=status, content_type="application/problem+json")


def handle_error(error: Exception, context: dict[str, Any]) -> Response:
    """DRF's exception handler: each family of refusal has one status; anything else is a 500 with a trace id."""
    set_rollback()
    if isinstance(error, IntegrityError) and takes_known_id(error):
        error = id_taken()
    if isinstance(error, DomainError):
        status = next(STATUS_OF[family] for family in type(error).__mro__ if family in STATUS_OF)
        response = problem(status, error.code, error.words, fields=error.fields, more=error.more)
        if status == 503:
            response["Retry-After"] = "5"
        if isinstance(error, TooMany):
            response["Retry-After"] = str(error.seconds)
        return response
    for family, told in DJANGO_SAYS.items():
        if isinstance(error, family):
            return problem(*told)
    if isinstance(error, exceptions.APIException):
        return _framework_problem(error)
    if isinstance(error, OperationalError) and isinstance(error.__cause__, DiskFull):
        words = "The server's disk is full, so nothing of this was kept. Try again once there is room."
        return problem(507, "disk_full", words)
    if isinstance(error, OperationalError):
        response = problem(503, "database_busy", "The database is busy or away; try again shortly.")
        response["Retry-After"] = "2"
        return response
    trace = uuid.uuid4().hex
    log.error("unexpected error %s", trace, exc_info=error)
    return problem(500, "internal", "Something failed here, not with you. It has been noted.", trace=trace)


def _framework_problem(error: exceptions.APIException) -> Response:
    codes = error.get_codes()
    code = codes if isinstance(codes, str) else "invalid"
    response = problem(error.status_code, code, str(error.detail))
    if isinstance(error, exceptions.NotAuthenticated | exceptions.AuthenticationFailed):
        response["WWW-Authenticate"] = getattr(error, "auth_header", "Session")
    return response


def network_of(request: HttpRequest | Request) -> str:
    """From where a request came: the connection, or what the outermost of our own proxies saw.

    Whatever a caller claims in front of that is not believed.
    """
    hops = [hop.strip() for hop in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",")]
    if 0 < settings.PROXIES <= len(hops):
        return str(hops[-settings.PROXIES])
    return str(request.META["REMOTE_ADDR"])


class ShopView(APIView):
    """Base of every view that acts in a shop: signed in, and the transaction sees that shop alone.

    `needs` names the permission of each method; a method without one does not exist.
    """

    needs: ClassVar[Mapping[str, str]] = {}

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        actor = self.actor
        needed = self.needs.get("GET" if request.method == "HEAD" else request.method or "")
        if needed is None:
            raise exceptions.MethodNotAllowed(request.method or "")
        see_shop(actor.shop_id)
        actor.require(needed)

    @property
    def actor(self) -> Actor:
        """Who is acting; raises NotAuthenticated when nobody is signed in."""
        actor = self.request.auth
        if not isinstance(actor, Actor):
            raise exceptions.NotAuthenticated
        return actor


class Parameters(BaseModel):
    """Base of what stands behind the question mark: a query parameter is a field."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    @classmethod
    def read(cls, request: Request) -> Self:
        """Raise Invalid for an unknown, doubled or ill-formed parameter."""
        faults = [
            FieldError(key, "given_twice", "Give this once.")
            for key, values in request.query_params.lists()
            if len(values) > 1
        ]
        if faults:
            raise Invalid("invalid", "A parameter stands there twice.", fields=faults)
        try:
            return cls.model_validate(request.query_params.dict())
        except ValidationError as error:
            faults = [
                FieldError(".".join(str(part) for part in fault["loc"]), fault["type"], fault["msg"] + ".")
                for fault in error.errors(include_url=False, include_input=False)
            ]
            raise Invalid("invalid", "Some parameters need mending.", fields=faults) from None


class Filters(Parameters):
    """Base of a noun's list filters; the lookup of a field is its `json_schema_extra`."""

    cursor: str = ""
    limit: int = PAGE_DEFAULT

    def narrow(self) -> Q:
        """The conditions that the given filters stand for."""
        q = Q()
        for name in self.model_fields_set - {"cursor", "limit"}:
            extra = type(self).model_fields[name].json_schema_extra
            lookup = extra["lookup"] if isinstance(extra, dict) and "lookup" in extra else name
            q &= Q(**{str(lookup): getattr(self, name)})
        return q


def page_of(rows: QuerySet[Any], filters: Filters) -> tuple[list[Any], str | None]:
    """One page in the order of ids (which is the order of making), and the cursor of the next one."""
    if not 1 <= filters.limit <= PAGE_MOST:
        words = f"Ask for 1 to {PAGE_MOST} rows."
        raise Invalid("invalid", words, fields=[FieldError("limit", "out_of_range", words)])
    if filters.cursor:
        rows = rows.filter(id__gt=_decode_cursor(filters.cursor))
    found = list(rows.order_by("id")[: filters.limit + 1])
    more = len(found) > filters.limit
    found = found[: filters.limit]
    return found, _encode_cursor(found[-1].id) if more else None


def _encode_cursor(row_id: UUID) -> str:
    return base64.urlsafe_b64encode(row_id.bytes).decode().rstrip("=")


def _decode_cursor(text: str) -> UUID:
    try:
        return UUID(bytes=base64.urlsafe_b64decode(text + "=" * (-len(text) % 4)))
    except ValueError:
        words = "This cursor is not one that this list gave out; start again without it."
        raise Invalid("invalid", words, fields=[FieldError("cursor", "bad_cursor", words)]) from None


def run_once(
    request: Request, actor: Actor, command: Command[Any, Any], answer: Callable[[Any], Any], status: int
) -> Response:
    """Run a command under its Idempotency-Key: the same key again gives the recorded answer and does nothing.

    The receipt commits with the effect; another body under the same key is refused (422), and a refusal
    leaves no receipt, so a mended retry may use the same key.
    """
    key = _idempotency_key(request)
    digest = hashlib.sha256(
        json.dumps([command.name, request.data], sort_keys=True, separators=(",", ":")).encode()
    ).hexdigest()
    receipt, fresh = Receipt.objects.get_or_create(shop_id=actor.shop_id, key=key, defaults={"digest": digest})
    if receipt.digest != digest:
        words = "This Idempotency-Key was used for something else; take a new one."
        raise Invalid("key_reused", words, fields=[FieldError("Idempotency-Key", "key_reused", words)])
    if not fresh and receipt.status is not None:
        return Response(receipt.body, status=receipt.status, headers={"Idempotency-Replayed": "true"})
    row = command(actor=replace(actor, command_id=key), data=decode(command.shape, request.data))
    receipt.status, receipt.body = status, plain(answer(row))
    Receipt.objects.filter(shop_id=actor.shop_id, key=key).update(status=receipt.status, body=receipt.body)
    return Response(receipt.body, status=status)


def _idempotency_key(request: Request) -> UUID:
    text = request.headers.get("Idempotency-Key", "")
    try:
        return UUID(text)
    except ValueError:
        words = "Send a header Idempotency-Key with a new UUID; a retry sends the same one."
        raise exceptions.ParseError(words, code="key_missing") from None


@dataclass(frozen=True)
class Noun:
    """How a noun stands on REST: its rows, its filters and the commands that end in its paths.

    `rows(actor)` is the visible queryset (a detail is a member of it), `show(actor, instance)` the row as seen.
    A row is made by `add`, or in another way by a word behind the plural (`also`); `verbs` change one.
    """

    plural: str
    row: type[Shape]
    rows: Callable[[Actor], QuerySet[Any]]
    show: Callable[[Actor, Any], Shape]
    reads: str
    filters: type[Filters] = Filters
    add: Command[Any, Any] | None = None
    also: Mapping[str, Command[Any, Any]] = field(default_factory=dict)
    verbs: Mapping[str, Command[Any, Any]] = field(default_factory=dict)

    def urls(self) -> list[URLPattern]:
        """The paths of this noun, relative to the API's root."""
        base, name = self.plural, self.plural.replace("-", "_")
        found = [
            path(base, _listing(self).as_view(), name=name),
            path(f"{base}/<uuid:row_id>", _detail(self).as_view(), name=f"{name}_one"),
        ]
        found += [
            path(f"{base}/{word}", _making(self, command).as_view(), name=f"{name}_{word.replace('-', '_')}")
            for word, command in self.also.items()
        ]
        return found + [
            path(f"{base}/<uuid:row_id>/{verb}", _verb(self, verb, command).as_view(), name=f"{name}_{verb}")
            for verb, command in self.verbs.items()
        ]

    @property
    def label(self) -> str:
        return self.plural.replace("-", " ")


PROBLEMS = dict.fromkeys((400, 401, 403, 404, 409, 415, 422), Problem)
KEY_HEADER = OpenApiParameter(
    "Idempotency-Key",
    UUID,
    OpenApiParameter.HEADER,
    required=True,
    description="A new UUID; a retry sends the same.",
)


def _listing(noun: Noun) -> type[ShopView]:
    page = create_model(f"{noun.row.__name__}Page", __base__=Shape, rows=(list[noun.row], ...), next=(str | None, None))  # type: ignore[name-defined]

    class Listing(ShopView):
        needs = {"GET": noun.reads} | ({"POST": noun.add.needs} if noun.add else {})

        @extend_schema(
            operation_id=f"list_{noun.plural.replace('-', '_')}",
            summary=f"The {noun.label}, oldest first, a page at a time",
            parameters=parameters_of(noun.filters),
            responses={200: page, **PROBLEMS},
            tags=[noun.label],
        )
        def get(self, request: Request) -> Response:
            filters = noun.filters.read(request)
            found, cursor = page_of(noun.rows(self.actor).filter(filters.narrow()), filters)
            return Response({"rows": [plain(noun.show(self.actor, one)) for one in found], "next": cursor})

    if noun.add is not None:
        Listing.post = _post(noun, noun.add)  # type: ignore[attr-defined]
    return Listing


def _making(noun: Noun, command: Command[Any, Any]) -> type[ShopView]:
    class Making(ShopView):
        needs = {"POST": command.needs}
        post = _post(noun, command)

    return Making


def _post(noun: Noun, command: Command[Any, Any]) -> Callable[[ShopView, Request], Response]:
    """The method that makes a row by a command."""

    @extend_schema(
        operation_id=command.name,
        summary=_summary(command),
        request=command.shape,
        parameters=[KEY_HEADER],
        responses={201: noun.row, **PROBLEMS},
        tags=[noun.label],
    )
    def post(self: ShopView, request: Request) -> Response:
        return run_once(request, self.actor, command, lambda row: noun.show(self.actor, row), 201)

    return post


def _detail(noun: Noun) -> type[ShopView]:
    class Detail(ShopView):
        needs = {"GET": noun.reads}

        @extend_schema(
            operation_id=f"read_{noun.plural.replace('-', '_')}",
            summary=f"One of the {noun.label}",
            responses={200: noun.row, **PROBLEMS},
            tags=[noun.label],
        )
        def get(self, request: Request, row_id: UUID) -> Response:
            return Response(plain(noun.show(self.actor, one_of(noun, self.actor, row_id))))

    return Detail


def one_of(noun: Noun, actor: Actor, row_id: UUID) -> Any:
    """A visible row; a row of another shop is as unknown as one that never was."""
    found = noun.rows(actor).filter(id=row_id).first()
    if found is None:
        raise NotFound(noun.label, row_id)
    return found


def _verb(noun: Noun, verb: str, command: Command[Any, Any]) -> type[ShopView]:
    class Verb(ShopView):
        needs = {"POST": command.needs}

        @extend_schema(
            operation_id=command.name,
            summary=_summary(command),
            request=command.shape,
            parameters=[KEY_HEADER],
            responses={200: noun.row, **PROBLEMS},
            tags=[noun.label],
        )
        def post(self, request: Request, row_id: UUID) -> Response:
            if not isinstance(request.data, dict) or request.data.get("id") != str(row_id):
                words = "Send the id of the path in the body too."
                raise Invalid("invalid", words, fields=[FieldError("id", "id_differs", words)])
            return run_once(request, self.actor, command, lambda row: noun.show(self.actor, row), 200)

    return Verb


def _summary(command: Command[Any, Any]) -> str:
    return (command.service.__doc__ or command.name.replace("_", " ")).strip().splitlines()[0].rstrip(".")


def parameters_of(filters: type[Parameters]) -> list[OpenApiParameter]:
    """The query parameters of a class of them, for the schema."""
    schema = filters.model_json_schema()
    needed = schema.get("required", [])
    return [
        OpenApiParameter(
            name, _openapi_type(info), OpenApiParameter.QUERY, required=name in needed, enum=info.get("enum")
        )
        for name, info in schema["properties"].items()
    ]


def _openapi_type(info: Mapping[str, Any]) -> Any:
    schema = {key: info[key] for key in ("type", "format") if key in info}
    return schema or {"type": "string"}


def table_file(content: bytes, name: str) -> HttpResponse:
    """A table to be saved: whole, not streamed, since its rows are of this transaction."""
    return HttpResponse(
        content,
        content_type="text/csv; charset=utf-8",
        headers={
            "Content-Disposition": f'attachment; filename="{name}"',
            "Cache-Control": "private, no-store",
            "X-Content-Type-Options": "nosniff",
        },
    )
