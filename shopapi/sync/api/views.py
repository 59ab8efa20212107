"""The protocol's routes: devices, push, pull, snapshot (without a request-wide transaction), and command outcomes."""

import re
from typing import cast
from uuid import UUID

from django.db import transaction
from django.utils.decorators import method_decorator
from drf_spectacular.utils import OpenApiParameter, extend_schema
from pydantic import AwareDatetime
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.accounts import queries as accounts
from shopapi.accounts.models import Device
from shopapi.accounts.rules import MemberRow, NewDevice, Permission
from shopapi.accounts.services import devices
from shopapi.core.actor import Actor
from shopapi.core.clock import arrived_at, now
from shopapi.core.errors import BadParameter, DomainError, FieldError
from shopapi.core.http.openapi import PROBLEMS
from shopapi.core.http.problems import ProblemDetails, problem
from shopapi.core.http.views import ShopView
from shopapi.core.models import SyncHead
from shopapi.core.schema import Schema, parse, to_json
from shopapi.core.tenancy import in_shop, in_shop_snapshot
from shopapi.sync import queries
from shopapi.sync.api.rows import Rows
from shopapi.sync.rules.app_build import MIN_BUILD, is_older_build
from shopapi.sync.rules.outcomes import Outcome
from shopapi.sync.rules.push import Push, replace_unstorable
from shopapi.sync.services import push
from shopapi.sync.services.push import outcome_of

MIN_PAGE_BYTES, MAX_PAGE_BYTES, DEFAULT_PAGE_BYTES = 10_000, 2_000_000, 300_000


class Registered(Schema):
    device_id: UUID
    letter: str
    epoch: int
    next_no: int
    min_build: str
    time: AwareDatetime
    member: MemberRow
    permissions: list[str]
    shop_id: UUID


class PushAnswer(Schema):
    results: list[Outcome]
    next_no: int
    time: AwareDatetime


class PullAnswer(Schema):
    """Rows by kind, tombstones, acknowledged numbers and the next cursor; or why to take a new snapshot."""

    rows: Rows | None = None
    gone: list[tuple[str, UUID]] = []
    acks: dict[UUID, int] = {}
    cursor: str | None = None
    more: bool = False
    safe_no: int = 0
    time: AwareDatetime | None = None
    resync: str | None = None


class SnapshotAnswer(Schema):
    """A page of rows by kind, and the position of the next one. `total`: about how many rows all pages have.

    Only the first page of everything says `total`.
    """

    rows: Rows
    after: str | None
    cursor: str
    acks: dict[UUID, int]
    time: AwareDatetime
    total: int | None = None


DEVICE = OpenApiParameter("device", UUID, OpenApiParameter.QUERY, required=True)
FIRST = "first"
PART = OpenApiParameter(
    "part",
    {"type": "string", "enum": [FIRST]},
    OpenApiParameter.QUERY,
    description=(
        "`first`: only what a new device needs to begin work (open jobs, today's runs, their customers and machines,"
        " the shop's settings). Its cursor is of no use: everything follows with a snapshot without `part`."
    ),
)
BUILD = OpenApiParameter(
    "build",
    str,
    OpenApiParameter.QUERY,
    description="The version of the app that asks. Without it the one counts that the device last said.",
)


@method_decorator(transaction.non_atomic_requests, name="dispatch")
class DevicesView(ShopView):
    needs = {"POST": Permission.READ}

    @extend_schema(
        operation_id="register_device",
        summary="Make this browser known and learn its letter",
        request=NewDevice,
        responses={200: Registered, **PROBLEMS},
        tags=["sync"],
    )
    def post(self, request: Request) -> Response:
        device = devices.register_device(actor=self.actor, data=parse(NewDevice, request.data))
        _use_device(request, self.actor, device.id)
        with in_shop(self.actor.shop_id):
            # Nobody but a member signs in.
            member = accounts.members(self.actor).get(id=cast(UUID, self.actor.member_id))
            epoch = SyncHead.objects.values_list("epoch", flat=True).get(shop_id=self.actor.shop_id)
        answer = Registered(
            device_id=device.id,
            letter=device.letter,
            epoch=epoch,
            next_no=device.next_no,
            min_build=MIN_BUILD,
            time=now(),
            member=accounts.show_member(self.actor, member),
            permissions=sorted(self.actor.permissions),
            shop_id=self.actor.shop_id,
        )
        return Response(to_json(answer))


@method_decorator(transaction.non_atomic_requests, name="dispatch")
class PushView(ShopView):
    needs = {"POST": Permission.UPLOAD_PENDING}

    @extend_schema(
        operation_id="push",
        summary="Send numbered commands of one device",
        request=Push,
        responses={200: PushAnswer, 410: ProblemDetails, 503: ProblemDetails, **PROBLEMS},
        tags=["sync"],
    )
    def post(self, request: Request) -> Response:
        data = parse(Push, replace_unstorable(request.data))
        _use_device(request, self.actor, data.device)
        pushed = push.push_commands(actor=self.actor, data=data, received_at=arrived_at(request.META))
        # A signed-off phone gets outcomes while its commands are taken; then 410 tells it to delete its data.
        if pushed.retired and not pushed.results:
            return _retired()
        return Response(to_json(PushAnswer(results=pushed.results, next_no=pushed.next_no, time=now())))


@method_decorator(transaction.non_atomic_requests, name="dispatch")
class PullView(ShopView):
    needs = {"GET": Permission.UPLOAD_PENDING}

    @extend_schema(
        operation_id="pull",
        summary="What changed since a cursor",
        parameters=[
            OpenApiParameter("cursor", str, OpenApiParameter.QUERY, required=True),
            OpenApiParameter(
                "max_bytes",
                {"type": "integer", "minimum": MIN_PAGE_BYTES, "maximum": MAX_PAGE_BYTES},
                OpenApiParameter.QUERY,
                description="How large the answer may be, in bytes.",
            ),
            DEVICE,
            BUILD,
        ],
        responses={200: PullAnswer, 304: None, 410: ProblemDetails, 426: ProblemDetails, **PROBLEMS},
        tags=["sync"],
    )
    def get(self, request: Request) -> Response:
        device_id = _device_id(request)
        cursor = request.query_params.get("cursor", "")
        _use_device(request, self.actor, device_id)
        with in_shop_snapshot(self.actor.shop_id):
            device = queries.device_for(self.actor, device_id)
            if device.revoked_at is not None:
                return _retired()
            self.actor.require(Permission.READ)
            if _is_too_old(request, device):
                return _too_old()
            pulled = queries.pull_changes(self.actor, cursor, max_bytes=_max_bytes(request))
            if pulled is None:
                return Response(status=304)
            if isinstance(pulled, str):
                return Response(to_json(PullAnswer(resync=pulled)))
            body = {
                "rows": pulled.rows,
                "gone": to_json(pulled.gone),
                "acks": {str(device.id): device.next_no - 1},
                "cursor": pulled.cursor,
                "more": pulled.more,
                "safe_no": device.safe_no,
                "time": server_time(),
                "resync": None,
            }
        return Response(body)


@method_decorator(transaction.non_atomic_requests, name="dispatch")
class SnapshotView(ShopView):
    needs = {"GET": Permission.UPLOAD_PENDING}

    @extend_schema(
        operation_id="snapshot",
        summary="Everything, a page at a time",
        parameters=[OpenApiParameter("after", str, OpenApiParameter.QUERY), PART, DEVICE, BUILD],
        responses={200: SnapshotAnswer, 410: ProblemDetails, 426: ProblemDetails, **PROBLEMS},
        tags=["sync"],
    )
    def get(self, request: Request) -> Response:
        device_id = _device_id(request)
        _use_device(request, self.actor, device_id)
        with in_shop_snapshot(self.actor.shop_id):
            device = queries.device_for(self.actor, device_id)
            if device.revoked_at is not None:
                return _retired()
            self.actor.require(Permission.READ)
            if _is_too_old(request, device):
                return _too_old()
            after = request.query_params.get("after", "")
            total = None
            if _is_first_part(request):
                page = queries.read_working_set_page(self.actor, after)
            else:
                page = queries.read_snapshot_page(self.actor, after)
                total = None if after else queries.count_rows(self.actor.shop_id)
        body = {
            "rows": page.rows,
            "after": page.after,
            "cursor": page.cursor,
            "acks": {str(device.id): device.next_no - 1},
            "time": server_time(),
            "total": total,
        }
        return Response(body)


class CommandView(ShopView):
    needs = {"GET": Permission.READ}

    @extend_schema(
        operation_id="read_command",
        summary="The recorded outcome of a command",
        responses={200: Outcome, **PROBLEMS},
        tags=["sync"],
    )
    def get(self, request: Request, row_id: UUID) -> Response:
        return Response(to_json(outcome_of(queries.command_for(self.actor, row_id))))


def _use_device(request: Request, actor: Actor, device_id: UUID) -> None:
    """Bind the browser's session to the device. A request with an API key has no session to bind."""
    if request.user is not None and request.user.is_authenticated:
        devices.use_device(actor=actor, device_id=device_id, session=request.session)


def _retired() -> Response:
    """The response to a device that was signed off."""
    return problem(410, DomainError("device_retired"))


def _is_too_old(request: Request, device: Device) -> bool:
    """Whether the app may not understand the rows. Apps up to 0.1.0 send their build only when they push."""
    return is_older_build(request.query_params.get("build", device.build), MIN_BUILD)


def _too_old() -> Response:
    """The response to an app that is too old for rows. It may still push: it updates once its queue is empty."""
    return problem(426, DomainError("app_too_old", context={"min_build": MIN_BUILD}))


def server_time() -> str:
    """The server's clock in ISO 8601, UTC."""
    return now().isoformat().replace("+00:00", "Z")


def _device_id(request: Request) -> UUID:
    try:
        return UUID(request.query_params.get("device", ""))
    except ValueError:
        raise BadParameter("invalid", fields=[FieldError("device", "bad_device")]) from None


def _is_first_part(request: Request) -> bool:
    part = request.query_params.get("part", "")
    if part not in {"", FIRST}:
        raise BadParameter("invalid", fields=[FieldError("part", "bad_part")])
    return part == FIRST


def _max_bytes(request: Request) -> int:
    text = request.query_params.get("max_bytes", str(DEFAULT_PAGE_BYTES))
    # At most the digits of the maximum, ASCII only: the number compared is the number used.
    if not re.fullmatch(r"[0-9]{1,7}", text) or not MIN_PAGE_BYTES <= int(text) <= MAX_PAGE_BYTES:
        limits = {"least": MIN_PAGE_BYTES, "most": MAX_PAGE_BYTES}
        fault = FieldError("max_bytes", "out_of_range", message="bytes_out_of_range", context=limits)
        raise BadParameter("invalid", fields=[fault])
    return int(text)
