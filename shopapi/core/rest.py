"""Views, paths and schema of resources on REST, derived from each resource's declaration."""

from collections.abc import Callable
from functools import partial
from inspect import cleandoc
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.urls import URLResolver, include, path, reverse
from drf_spectacular.utils import extend_schema
from pydantic import create_model
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.core.commands import Command
from shopapi.core.errors import FieldError, Invalid
from shopapi.core.http.answers import json_answer, row_answer
from shopapi.core.http.idempotency import KEY_HEADER, run_idempotent
from shopapi.core.http.openapi import ETAG, IF_NONE_MATCH, LOCATION, PROBLEMS, query_parameters
from shopapi.core.http.pagination import paginate
from shopapi.core.http.views import ShopView
from shopapi.core.resources import Resource, get_row
from shopapi.core.schema import Schema


def paths_of(resource: Resource) -> list[URLResolver]:
    """The paths of a resource, relative to the API's root: list, one row, further ways to create one, actions."""
    if resource.reads is None:
        return []
    base, name = resource.plural, resource.plural.replace("-", "_")
    making = {part: command for part, command in resource.create_commands.items() if part}
    found = [
        path("", _listing(resource, resource.reads).as_view(), name=name),
        path("/<uuid:row_id>", _detail(resource, resource.reads).as_view(), name=f"{name}_one"),
        *(
            path(f"/{part}", _making(resource, command).as_view(), name=f"{name}_{part.replace('-', '_')}")
            for part, command in making.items()
        ),
        *(
            path(f"/<uuid:row_id>/{verb}", _verb(resource, command).as_view(), name=f"{name}_{verb}")
            for verb, command in resource.actions.items()
        ),
    ]
    # One prefix for each resource: an address is compared with about a hundred of them and not with every pattern.
    return [path(base, include(found))]


def address_of(resource: Resource, row_id: str) -> str:
    """The path of a row."""
    return reverse(f"{resource.plural.replace('-', '_')}_one", args=[row_id])


def _listing(resource: Resource, reads: str) -> type[ShopView]:
    maker = resource.create_commands.get("")
    rows: Any = list[resource.row]  # type: ignore[name-defined] # a type made at run time
    page = create_model(f"{resource.row.__name__}Page", __base__=Schema, rows=(rows, ...), next=(str | None, None))

    class Listing(ShopView):
        needs = {"GET": reads} | ({"POST": maker.needs} if maker else {})

        @extend_schema(
            operation_id=f"list_{resource.plural.replace('-', '_')}",
            summary=f"The {resource.label}, a page at a time",
            description=f"Those of the {resource.label} that the member may see, narrowed by the parameters given.",
            parameters=query_parameters(resource.filter_class),
            responses={200: page, **PROBLEMS},
            tags=[resource.label],
        )
        def get(self, request: Request) -> HttpResponse:
            filters = resource.filter_class.read(request.query_params)
            found, cursor = paginate(resource.rows(self.actor).filter(filters.narrow()), filters)
            actor = self.actor
            return json_answer(
                actor, page.model_construct(rows=[resource.show(actor, one) for one in found], next=cursor)
            )

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
        parameters=[KEY_HEADER, LOCATION],
        responses={201: resource.row, **PROBLEMS},
        tags=[resource.label],
    )
    def post(self: ShopView, request: Request) -> Response:
        show = partial(resource.show, self.actor)
        return run_idempotent(request, self.actor, command, show, status=201, location=partial(address_of, resource))

    return post


def _detail(resource: Resource, reads: str) -> type[ShopView]:
    class Detail(ShopView):
        needs = {"GET": reads}

        @extend_schema(
            operation_id=f"read_{resource.plural.replace('-', '_')}",
            summary=f"One of the {resource.label}",
            description=f"One row of the {resource.label} by its id, with an ETag.",
            parameters=[IF_NONE_MATCH, ETAG],
            responses={200: resource.row, 304: None, **PROBLEMS},
            tags=[resource.label],
        )
        def get(self, request: Request, row_id: UUID) -> HttpResponse:
            actor = self.actor
            return row_answer(request, actor, resource.show(actor, get_row(resource, actor, row_id)))

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
            return run_idempotent(request, self.actor, command, partial(resource.show, self.actor))

    return Verb


def _summary(command: Command[Any, Any]) -> str:
    return _paragraphs(command)[0].rstrip(".")


def _description(command: Command[Any, Any]) -> str:
    """What the docstring says below its first line."""
    return "\n\n".join(_paragraphs(command)[1:])


def _paragraphs(command: Command[Any, Any]) -> list[str]:
    return cleandoc(command.service.__doc__ or command.name.replace("_", " ")).split("\n\n")
