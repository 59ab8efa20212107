"""Writes under an Idempotency-Key: a retry gets the recorded answer."""

import hashlib
import json
from collections.abc import Callable
from dataclasses import replace
from typing import Any
from uuid import UUID

from drf_spectacular.utils import OpenApiParameter
from rest_framework import exceptions
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.core.actor import Actor
from shopapi.core.commands import Command
from shopapi.core.errors import FieldError, Invalid
from shopapi.core.models import Receipt
from shopapi.core.schema import parse, to_json


def run_idempotent(
    request: Request,
    actor: Actor,
    command: Command[Any, Any],
    answer: Callable[[Any], Any],
    *,
    status: int = 200,
    location: Callable[[str], str] | None = None,
) -> Response:
    """Run a command under its Idempotency-Key: the same key again gives the recorded answer and does nothing.

    `location` is the address of a new row by its id, for the header Location.

    The receipt commits with the effect; another body under the same key is refused (422), and a refusal
    leaves no receipt, so a corrected retry may use the same key.
    """
    key = _idempotency_key(request)
    digest = hashlib.sha256(
        json.dumps([command.name, request.data], sort_keys=True, separators=(",", ":")).encode()
    ).hexdigest()
    receipt, fresh = Receipt.objects.get_or_create(shop_id=actor.shop_id, key=key, defaults={"digest": digest})
    if receipt.digest != digest:
        raise Invalid("key_reused", fields=[FieldError("Idempotency-Key", "key_reused")])
    if not fresh and receipt.status is not None:
        return _answer(receipt, location, {"Idempotency-Replayed": "true"})
    row = command(actor=replace(actor, command_id=key, asks_again=True), data=parse(command.schema, request.data))
    receipt.status, receipt.body = status, to_json(answer(row))
    Receipt.objects.filter(shop_id=actor.shop_id, key=key).update(status=receipt.status, body=receipt.body)
    return _answer(receipt, location, {})


def _answer(receipt: Receipt, location: Callable[[str], str] | None, headers: dict[str, str]) -> Response:
    if location is not None:
        body: Any = receipt.body
        headers = {**headers, "Location": location(body["id"])}
    return Response(receipt.body, status=receipt.status, headers=headers)


def _idempotency_key(request: Request) -> UUID:
    text = request.headers.get("Idempotency-Key", "")
    try:
        return UUID(text)
    except ValueError:
        raise exceptions.ParseError(code="key_missing") from None


KEY_HEADER = OpenApiParameter(
    "Idempotency-Key",
    # Not of the format uuid: a client made from the document would hand on an object where a header is text.
    str,
    OpenApiParameter.HEADER,
    required=True,
    description="A new UUID; a retry sends the same.",
)
