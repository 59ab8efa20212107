"""Answers of views that are made once as bytes: JSON with what the actor may see, with an ETag where asked for."""

import json
from hashlib import sha256
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.cache import patch_vary_headers
from django.utils.http import parse_etags
from pydantic import BaseModel
from rest_framework import exceptions
from rest_framework.negotiation import DefaultContentNegotiation
from rest_framework.request import Request
from rest_framework.utils.mediatypes import media_type_matches

from shopapi.core.actor import Actor
from shopapi.core.schema import hides_from, seen_with, to_json

JSON = "application/json"
# Neither kept nor compressed, by us or by a proxy (RFC 9111, section 5.2.2.6): see `config/compression.py`.
SECRET_HEADERS = {"Cache-Control": "no-store, no-transform"}


class Negotiation(DefaultContentNegotiation):
    """Refuses (406) what the view cannot answer: its `answers`, JSON by default. Refusals are JSON in any case."""

    def select_renderer(self, request: Any, renderers: Any, format_suffix: str | None = None) -> Any:
        answers = getattr(request.parser_context["view"], "answers", (JSON,))
        wanted = self.get_accept_list(request)
        if any(media_type_matches(one, accepted) for accepted in wanted for one in answers):
            return renderers[0], renderers[0].media_type
        raise exceptions.NotAcceptable(available_renderers=renderers)


def json_answer(actor: Actor, value: BaseModel) -> HttpResponse:
    """A schema as JSON, without the fields that the actor may not see."""
    return HttpResponse(_as_json(actor, value), content_type=JSON)


def row_answer(request: Request, actor: Actor, row: BaseModel) -> HttpResponse:
    """A row as JSON with its ETag, or 304 without a body where the reader has it already (RFC 9110, section 13.1.2)."""
    body = _as_json(actor, row)
    etag = f'"{sha256(body).hexdigest()[:32]}"'
    response = HttpResponse(status=304) if _has(request, etag) else HttpResponse(body, content_type=JSON)
    response["ETag"] = etag
    # Kept by the reader alone, and only used again after asking.
    response["Cache-Control"] = "private, no-cache"
    patch_vary_headers(response, ["Accept-Language", "Authorization", "Cookie"])
    return response


def _has(request: HttpRequest | Request, etag: str) -> bool:
    held = parse_etags(request.META.get("HTTP_IF_NONE_MATCH", ""))
    return held == ["*"] or etag in {one.removeprefix("W/") for one in held}


def _as_json(actor: Actor, value: BaseModel) -> bytes:
    if hides_from(actor.permissions):
        shown = seen_with(actor.permissions, to_json(value))
        return json.dumps(shown, ensure_ascii=False, separators=(",", ":")).encode()
    return value.model_dump_json().encode()
