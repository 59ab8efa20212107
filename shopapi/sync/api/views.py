"""The protocol's four doors: devices, push, pull, snapshot. None runs inside a request-wide transaction."""

from uuid import UUID

from django.db import transaction
from django.utils.decorators import method_decorator
from drf_spectacular.utils import OpenApiParameter, extend_schema
from pydantic import AwareDatetime
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.accounts import queries as accounts
from shopapi.accounts import services as account_services
from shopapi.accounts.rules import MemberRow, NewDevice, Permission
from shopapi.core.clock import now
from shopapi.core.errors import FieldError, Invalid
from shopapi.core.http import PROBLEMS, Problem, ShopView, problem
from shopapi.core.models import SyncHead
from shopapi.core.shape import Shape, decode, plain
from shopapi.core.tenancy import in_shop, in_shop_snapshot
from shopapi.sync import queries
from shopapi.sync.api.rows import Rows
from shopapi.sync.rules import MIN_BUILD, Outcome, Push, storable
from shopapi.sync.services import pushing
from shopapi.sync.services.pushing import outcome_of

LEAST_BYTES, MOST_BYTES, USUAL_BYTES = 10_000, 2_000_000, 300_000


class Registered(Shape):
    device_id: UUID
    letter: str
    epoch: int
    next_no: int
    min_build: str
    time: AwareDatetime
    member: MemberRow
    permissions: list[str]
    shop_id: UUID


class PushAnswer(Shape):
    results: list[Outcome]
    next_no: int
    time: AwareDatetime


class PullAnswer(Shape):
    """Rows by kind, tombstones, acknowledged numbers and the next cursor; or why to take a new snapshot."""

    rows: Rows | None = None
    gone: list[tuple[str, UUID]] = []
    acks: dict[UUID, int] = {}
    cursor: str | None = None
    more: bool = False
    safe_no: int = 0
    time: AwareDatetime | None = None
    resync: str | None = None


class SnapshotAnswer(Shape):
    rows: Rows
    after: str | None
    cursor: str
    acks: dict[UUID, int]
    time: AwareDatetime


DEVICE = OpenApiParameter("device", UUID, OpenApiParameter.QUERY, required=True)


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
        device = account_services.register_device(actor=self.actor, data=decode(NewDevice, request.data))
        with in_shop(self.actor.shop_id):
            member = accounts.members(self.actor).get(id=self.actor.member_id)
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
        return Response(plain(answer))


@method_decorator(transaction.non_atomic_requests, name="dispatch")
class PushView(ShopView):
    needs = {"POST": Permission.HAND_IN}

    @extend_schema(
        operation_id="push",
        summary="Send numbered commands of one device",
        request=Push,
        responses={200: PushAnswer, 410: Problem, 503: Problem, **PROBLEMS},
        tags=["sync"],
    )
    def post(self, request: Request) -> Response:
        pushed = pushing.push_commands(actor=self.actor, data=decode(Push, storable(request.data)))
        if pushed.retired:
            return _retired()
        return Response(plain(PushAnswer(results=pushed.results, next_no=pushed.next_no, time=now())))


@method_decorator(transaction.non_atomic_requests, name="dispatch")
class PullView(ShopView):
    needs = {"GET": Permission.HAND_IN}

    @extend_schema(
        operation_id="pull",
        summary="What changed since a cursor",
        parameters=[
            OpenApiParameter("cursor", str, OpenApiParameter.QUERY, required=True),
            OpenApiParameter("max_bytes", int, OpenApiParameter.QUERY),
            DEVICE,
        ],
        responses={200: PullAnswer, 304: None, 410: Problem, **PROBLEMS},
        tags=["sync"],
    )
    def get(self, request: Request) -> Response:
        device_id = _device_id(request)
        cursor = request.query_params.get("cursor", "")
        with in_shop_snapshot(self.actor.shop_id):
            device = queries.device_for(self.actor, device_id)
            if device.revoked_at is not None:
                return _retired()
            self.actor.require(Permission.READ)
            pulled = queries.pull(self.actor, cursor, max_bytes=_max_bytes(request))
            if pulled is None:
                return Response(status=304)
            if isinstance(pulled, str):
                return Response(plain(PullAnswer(resync=pulled)))
            body = {
                "rows": pulled.rows,
                "gone": plain(pulled.gone),
                "acks": {str(device.id): device.next_no - 1},
                "cursor": pulled.cursor,
                "more": pulled.more,
                "safe_no": queries.safe_no(self.actor, device.id),
                "time": plain_time(),
                "resync": None,
            }
        return Response(body)


@method_decorator(transaction.non_atomic_requests, name="dispatch")
class SnapshotView(ShopView):
    needs = {"GET": Permission.HAND_IN}

    @extend_schema(
        operation_id="snapshot",
        summary="Everything, a page at a time",
        parameters=[OpenApiParameter("after", str, OpenApiParameter.QUERY), DEVICE],
        responses={200: SnapshotAnswer, 410: Problem, **PROBLEMS},
        tags=["sync"],
    )
    def get(self, request: Request) -> Response:
        device_id = _device_id(request)
        with in_shop_snapshot(self.actor.shop_id):
            device = queries.device_for(self.actor, device_id)
            if device.revoked_at is not None:
                return _retired()
            self.actor.require(Permission.READ)
            page = queries.snapshot(self.actor, request.query_params.get("after", ""))
        body = {
            "rows": page.rows,
            "after": page.after,
            "cursor": page.cursor,
            "acks": {str(device.id): device.next_no - 1},
            "time": plain_time(),
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
        return Response(plain(outcome_of(queries.command_for(self.actor, row_id))))


def _retired() -> Response:
    """A device that the owner signed off gets nothing more, whatever it asks."""
    return problem(410, "device_retired", pushing.RETIRED)


def plain_time() -> str:
    """The server's clock as it stands on the wire."""
    return now().isoformat().replace("+00:00", "Z")


def _device_id(request: Request) -> UUID:
    try:
        return UUID(request.query_params.get("device", ""))
    except ValueError:
        words = "Say which device asks: its id, as registered."
        raise Invalid("invalid", words, fields=[FieldError("device", "bad_device", words)]) from None


def _max_bytes(request: Request) -> int:
    text = request.query_params.get("max_bytes", str(USUAL_BYTES))
    if not text.isascii() or not text.isdigit() or not LEAST_BYTES <= int(text[:12]) <= MOST_BYTES:
        words = f"Ask for {LEAST_BYTES} to {MOST_BYTES} bytes."
        raise Invalid("invalid", words, fields=[FieldError("max_bytes", "out_of_range", words)])
    return int(text)
