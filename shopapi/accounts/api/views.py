"""Signing in and out, and the first shop by page. Everything else of this app stands in `nouns`."""

from uuid import UUID

from django.conf import settings
from django.contrib.auth import login, logout, update_session_auth_hash
from django.db import transaction
from django.middleware.csrf import get_token
from django.utils.decorators import method_decorator
from drf_spectacular.utils import extend_schema
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from shopapi.accounts import queries, services
from shopapi.accounts.api.authentication import SessionSignIn
from shopapi.accounts.models import User
from shopapi.accounts.rules import Email, FirstShop, MemberRow, PasswordChange, Permission, ShopRow
from shopapi.core.actor import Actor
from shopapi.core.errors import Forbidden
from shopapi.core.http import PROBLEMS, Problem, ShopView, network_of
from shopapi.core.shape import Shape, Text, decode, plain
from shopapi.core.tenancy import in_shop


class Credentials(Shape):
    email: Email
    password: Text


class SessionState(Shape):
    """Who is signed in, and the token that every write carries in `X-CSRF-Token`.

    `tiles_url`: map tiles with {z}, {x} and {y}, empty without any; `tiles_credit`: whose they are, to be shown beside.
    """

    signed_in: bool
    csrf: str
    first_shop_needed: bool
    member: MemberRow | None = None
    shop: ShopRow | None = None
    shop_id: UUID | None = None
    permissions: list[str] = []
    tiles_url: str = ""
    tiles_credit: str = ""


def session_state(request: Request, actor: Actor | None) -> dict[str, object]:
    """The state of a session as it stands on the wire."""
    csrf = get_token(request._request)
    if actor is None or actor.member_id is None:
        return plain(SessionState(signed_in=False, csrf=csrf, first_shop_needed=not queries.every_shop()))
    with in_shop(actor.shop_id):
        return plain(
            SessionState(
                signed_in=True,
                csrf=csrf,
                first_shop_needed=False,
                member=queries.show_member(actor, queries.members(actor).get(id=actor.member_id)),
                shop=queries.show_shop(actor, queries.shop_of(actor)),
                shop_id=actor.shop_id,
                permissions=sorted(actor.permissions),
                tiles_url=settings.TILES_URL,
                tiles_credit=settings.TILES_CREDIT,
            )
        )


# A wrong password must be counted although the answer is a refusal, so no transaction goes around these.
@method_decorator(transaction.non_atomic_requests, name="dispatch")
class SessionView(APIView):
    """The session of this browser."""

    permission_classes = [AllowAny]

    @extend_schema(
        responses={200: SessionState},
        operation_id="read_session",
        summary="Who is signed in",
        tags=["session"],
    )
    def get(self, request: Request) -> Response:
        return Response(session_state(request, request.auth))

    @extend_schema(
        request=Credentials,
        responses={200: SessionState, 429: Problem, **PROBLEMS},
        operation_id="sign_in",
        summary="Sign in",
        tags=["session"],
    )
    def post(self, request: Request) -> Response:
        # DRF asks for the CSRF header only of whom it knows; without it another site could sign somebody in here.
        SessionSignIn().enforce_csrf(request)
        credentials = decode(Credentials, request.data)
        user = services.check_sign_in(
            email=credentials.email,
            password=credentials.password,
            network=network_of(request),
        )
        return _signed_in(request, user)

    @extend_schema(responses={200: SessionState}, operation_id="sign_out", summary="Sign out", tags=["session"])
    def delete(self, request: Request) -> Response:
        logout(request._request)
        return Response(session_state(request, None), headers={"Clear-Site-Data": '"cache"'})


def _signed_in(request: Request, user: User) -> Response:
    actor = queries.actor_for_user(user.pk)
    if actor is None:
        raise Forbidden("membership_ended", "Your membership has ended. Ask the owner of the shop.")
    login(request._request, user)
    return Response(session_state(request, actor))


@method_decorator(transaction.non_atomic_requests, name="dispatch")
class FirstShopView(APIView):
    """The first shop of an installation."""

    permission_classes = [AllowAny]

    @extend_schema(
        request=FirstShop,
        responses={201: SessionState, **PROBLEMS},
        operation_id="open_first_shop",
        summary="Open the first shop, while there is none",
        tags=["session"],
    )
    def post(self, request: Request) -> Response:
        SessionSignIn().enforce_csrf(request)
        data = decode(FirstShop, request.data)
        services.make_first_shop(data=data)
        user = services.check_sign_in(email=data.email, password=data.password, network=network_of(request))
        response = _signed_in(request, user)
        response.status_code = 201
        return response


@method_decorator(transaction.non_atomic_requests, name="dispatch")
class PasswordView(ShopView):
    """One's own password."""

    needs = {"POST": Permission.READ}

    @extend_schema(
        request=PasswordChange,
        responses={200: SessionState, 429: Problem, **PROBLEMS},
        operation_id="change_password",
        summary="Change one's own password, ending one's other sessions and keys",
        tags=["session"],
    )
    def post(self, request: Request) -> Response:
        data = decode(PasswordChange, request.data)
        user = services.change_password(actor=self.actor, data=data, network=network_of(request))
        if request.user is not None and request.user.is_authenticated:
            update_session_auth_hash(request._request, user)
        return Response(session_state(request, self.actor))
