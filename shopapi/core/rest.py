"""Views, paths and schema of resources on REST, derived from each resource's declaration."""

from collections.abc import Callable
from inspect import cleandoc
from typing import Any
from uuid import UUID

from django.urls import URLPattern, path
from drf_spectacular.utils import extend_schema
from pydantic import create_model
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.core.commands import Command
from shopapi.core.errors import FieldError, Invalid
from shopapi.core.http.idempotency import KEY_HEADER, run_idempotent
from shopapi.core.http.openapi import PROBLEMS, query_parameters
from shopapi.core.http.pagination import paginate
from shopapi.core.http.views import ShopView
from shopapi.core.resources import Resource, get_row
from shopapi.core.schema import Schema, to_json


def paths_of(resource: Resource) -> list[URLPattern]:
    """The paths of a resource, relative to the API's root: list, one row, further ways to create one, actions."""
    if resource.reads is None:
        return []
    base, name = resource.plural, resource.plural.replace("-", "_")
    making = {part: command for part, command in resource.create_commands.items() if part}
    return [
        path(base, _listing(resource, resource.reads).as_view(), name=name),
        path(f"{base}/<uuid:row_id>", _detail(resource, resource.reads).as_view(), name=f"{name}_one"),
        *(
            path(f"{base}/{part}", _making(resource, command).as_view(), name=f"{name}_{part.replace('-', '_')}")
            for part, command in making.items()
        ),
        *(
            path(f"{base}/<uuid:row_id>/{verb}", _verb(resource, command).as_view(), name=f"{name}_{verb}")
            for verb, command in resource.actions.items()
        ),
    ]


def _listing(resource: Resource, reads: str) -> type[ShopView]:
    maker = resource.create_commands.get("")
    rows: Any = list[resource.row]  # type: ignore[name-defined] # a type made at run time
    page = create_model(f"{resource.row.__name__}Page", __base__=Schema, rows=(rows, ...), next=(str | None, None))

    class Listing(ShopView):
        needs = {"GET": reads} | ({"POST": maker.needs} if maker else {})

        @extend_schema(
            operation_id=f"list_{resource.plural.replace('-', '_')}",
            summary=f"The {resource.label}, oldest first, a page at a time",
            parameters=query_parameters(resource.filter_class),
            responses={200: page, **PROBLEMS},
            tags=[resource.label],
        )
        def get(self, request: Request) -> Response:
            filters = resource.filter_class.read(request.query_params)
            found, cursor = paginate(resource.rows(self.actor).filter(filters.narrow()), filters)
            return Response({"rows": [to_json(resource.show(self.actor, one)) for one in found], "next": cursor})

    if maker is not None:
        Listing.post = _post(resource, maker)  # type: ignore[attr-defined] # only a resource with a maker has it
    return Listing


def _making(resource: Resource, command: Command[Any, Any]) -> type[ShopView]:
    class Making(ShopView):
        needs = {"POST": command.needs}
        post = _post(resource, command)

    return Making


def _post(resource: Resource, command: Command[Any, Any]) -> Callable[[ShopView, Request], Response]:
    """The POST method that creates a row by a command."""

    @extend_schema(
        operation_id=command.name,
        summary=_summary(command),
        description=_description(command),
        request=command.schema,
        parameters=[KEY_HEADER],
        responses={201: resource.row, **PROBLEMS},
        tags=[resource.label],
    )
    def post(self: ShopView, request: Request) -> Response:
        return run_idempotent(request, self.actor, command, lambda row: resource.show(self.actor, row), 201)

    return post


def _detail(resource: Resource, reads: str) -> type[ShopView]:
    class Detail(ShopView):
        needs = {"GET": reads}

        @extend_schema(
            operation_id=f"read_{resource.plural.replace('-', '_')}",
            summary=f"One of the {resource.label}",
            responses={200: resource.row, **PROBLEMS},
            tags=[resource.label],
        )
        def get(self, request: Request, row_id: UUID) -> Response:
            return Response(to_json(resource.show(self.actor, get_row(resource, self.actor, row_id))))

    return Detail


def _verb(resource: Resource, command: Command[Any, Any]) -> type[ShopView]:
    class Verb(ShopView):
        needs = {"POST": command.needs}

        @extend_schema(
            operation_id=command.name,
            summary=_summary(command),
            description=_description(command),
            request=command.schema,
            parameters=[KEY_HEADER],
            responses={200: resource.row, **PROBLEMS},
            tags=[resource.label],
        )
        def post(self, request: Request, row_id: UUID) -> Response:
            if not isinstance(request.data, dict) or request.data.get("id") != str(row_id):
                raise Invalid("invalid", fields=[FieldError("id", "id_differs")])
            return run_idempotent(request, self.actor, command, lambda row: resource.show(self.actor, row), 200)

    return Verb


def _summary(command: Command[Any, Any]) -> str:
    return _paragraphs(command)[0].rstrip(".")


def _description(command: Command[Any, Any]) -> str:
    """What the docstring says below its first line."""
    return "\n\n".join(_paragraphs(command)[1:])


def _paragraphs(command: Command[Any, Any]) -> list[str]:
    return cleandoc(command.service.__doc__ or command.name.replace("_", " ")).split("\n\n")
