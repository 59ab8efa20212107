"""Sign-in, sign-out, passwords and the first shop. Everything else of this app is in `resources`."""

from collections.abc import Callable
from typing import Any, TypeVar, cast
from uuid import UUID

from django.conf import settings
from django.contrib.auth import login, logout, update_session_auth_hash
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import get_token
from django.utils.decorators import method_decorator
from drf_spectacular.utils import extend_schema
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from shopapi.accounts import queries
from shopapi.accounts.api.authentication import SessionSignIn
from shopapi.accounts.api.proof import note_proof
from shopapi.accounts.models import User
from shopapi.accounts.rules import Email, FirstShop, InvitationAddress, MemberRow, PasswordChange, Permission, ShopRow
from shopapi.accounts.rules.api_keys import ApiKeyValue
from shopapi.accounts.rules.factors import Code
from shopapi.accounts.rules.security_events import SecurityEvent
from shopapi.accounts.services import (
    credentials,
    factors,
    invitations,
    mailed_links,
    passwords,
    sessions,
    shops,
    tokens,
)
from shopapi.accounts.services.security_events import record_session
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.errors import Forbidden
from shopapi.core.http.answers import SECRET_HEADERS
from shopapi.core.http.clients import client_ip
from shopapi.core.http.openapi import PROBLEMS
from shopapi.core.http.problems import ProblemDetails
from shopapi.core.http.views import ShopView
from shopapi.core.schema import Schema, Secret, parse, to_json
from shopapi.core.tenancy import in_shop

R = TypeVar("R", bound=HttpResponse)


class Credentials(Schema):
    """The address and password, with the code of a second factor where there is one."""

    email: Email
    password: Secret
    code: Code = ""


class SessionState(Schema):
    """Who is signed in, and the token that every write sends in `X-CSRF-Token`.

    `tiles_url`: map tiles with {z}, {x} and {y}, empty without any; `tiles_credit`: the attribution to show.
    `reset_by_mail`: whether the server sends mail, so that a forgotten password can be set anew.
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
    reset_by_mail: bool = False


def session_state(request: Request, actor: Actor | None) -> dict[str, object]:
    """The state of a session as sent."""
    csrf = get_token(request._request)
    if actor is None or actor.member_id is None:
        nobody = SessionState(
            signed_in=False,
            csrf=csrf,
            first_shop_needed=not queries.every_shop(),
            reset_by_mail=mailed_links.sends_mail(),
        )
        return nobody.model_dump(mode="json")
    with in_shop(actor.shop_id):
        somebody = SessionState(
            signed_in=True,
            csrf=csrf,
            first_shop_needed=False,
            member=queries.show_member(actor, queries.members(actor).get(id=actor.member_id)),
            shop=ShopRow.of(queries.shop_of(actor)),
            shop_id=actor.shop_id,
            permissions=sorted(actor.permissions),
            tiles_url=settings.TILES_URL,
            tiles_credit=settings.TILES_CREDIT,
            reset_by_mail=mailed_links.sends_mail(),
        )
        return somebody.model_dump(mode="json")


# No transaction around these: a wrong password must be counted although the request is refused.
@method_decorator(transaction.non_atomic_requests, name="dispatch")
class SessionView(APIView):
    """The session of this browser."""

    permission_classes = [AllowAny]

    @extend_schema(
        responses={200: SessionState, **PROBLEMS},
        operation_id="read_session",
        summary="Who is signed in",
        tags=["session"],
    )
    def get(self, request: Request) -> Response:
        actor: Actor | None = cast(Any, request.auth)
        return Response(session_state(request, actor), headers=SECRET_HEADERS)

    @extend_schema(
        request=Credentials,
        responses={200: SessionState, 429: ProblemDetails, **PROBLEMS},
        operation_id="sign_in",
        summary="Sign in",
        tags=["session"],
    )
    def post(self, request: Request) -> Response:
        # DRF asks for the CSRF header only of whom it knows; without it another site could sign somebody in here.
        SessionSignIn().enforce_csrf(request)
        data = parse(Credentials, request.data)
        user = credentials.check_sign_in(
            email=data.email,
            password=data.password,
            network=client_ip(request),
            mark=known_mark(request, data.email),
        )
        factors.check_second_factor(user, data.code)
        return signed_in(request, user, "password_and_code" if data.code else "password")

    @extend_schema(
        responses={200: SessionState, **PROBLEMS}, operation_id="sign_out", summary="Sign out", tags=["session"]
    )
    def delete(self, request: Request) -> Response:
        sessions.forget(request.session)
        if request.user is not None and request.user.is_authenticated:
            record_session(SecurityEvent.SIGNED_OUT, request.user.pk)
        logout(request._request)
        return Response(session_state(request, None), headers={"Clear-Site-Data": '"cache"'})


def begin_session(request: HttpRequest, user: User, how: str) -> None:
    """Sign somebody in, always with a new session: Django would reuse one of the same person, with its sign-offs.

    `how` is the code in the audit trail.
    """
    sessions.forget(request.session)
    request.session.flush()
    login(request, user)
    request.session[queries.SIGNED_IN_AT] = now().isoformat()
    note_proof(request.session)
    record_session(SecurityEvent.SIGNED_IN, user.pk, code=how)


def signed_in(request: Request, user: User, how: str) -> Response:
    """Begin the session of somebody who has proved who they are. Raises Forbidden without any membership."""
    # A former member may sign in to upload what the phone holds, but gets no data.
    actor = queries.actor_for_session(user.pk, begun_at=now())
    if actor is None:
        raise Forbidden("membership_ended")
    begin_session(request._request, user, how)
    return remembered(Response(session_state(request, actor)), user)


def _cookie(email: str) -> str:
    """The cookie that marks a browser on which the user has signed in before."""
    return ("__Host-" if settings.SESSION_COOKIE_SECURE else "") + credentials.known_browser_name(email)


def keep_session(request: Request, user: User) -> None:
    """Let this session go on after a change that ends the others. Its key changes."""
    former = request.session.session_key
    update_session_auth_hash(request._request, user)
    sessions.follow_key(former, request.session)


def known_mark(request: Request | HttpRequest, email: str) -> str:
    """What marks this browser as one on which the user has signed in before; "" where nothing does."""
    return request.COOKIES.get(_cookie(email), "")


def remembered(response: R, user: User) -> R:
    """Mark the browser as one on which this user has signed in; signing out does not remove the mark."""
    response.set_cookie(
        _cookie(user.email),
        credentials.known_browser_mark(user),
        max_age=credentials.KNOWN_FOR,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )
    return response


@method_decorator(transaction.non_atomic_requests, name="dispatch")
class FirstShopView(APIView):
    """The first shop of an installation. `open_shop` opens it: a shop has more than its accounts."""

    permission_classes = [AllowAny]
    open_shop: Callable[..., Actor] = staticmethod(shops.make_first_shop)

    @extend_schema(
        request=FirstShop,
        responses={201: SessionState, **PROBLEMS},
        operation_id="open_first_shop",
        summary="Open the first shop, while there is none",
        tags=["session"],
    )
    def post(self, request: Request) -> Response:
        SessionSignIn().enforce_csrf(request)
        data = parse(FirstShop, request.data)
        self.open_shop(data=data)
        user = credentials.check_sign_in(email=data.email, password=data.password, network=client_ip(request))
        response = signed_in(request, user, "password")
        response.status_code = 201
        return response


@method_decorator(transaction.non_atomic_requests, name="dispatch")
class PasswordView(ShopView):
    """One's own password."""

    needs = {"POST": Permission.READ}

    @extend_schema(
        request=PasswordChange,
        responses={200: SessionState, 429: ProblemDetails, **PROBLEMS},
        operation_id="change_password",
        summary="Change one's own password, ending one's other sessions and keys",
        tags=["session"],
    )
    def post(self, request: Request) -> Response:
        data = parse(PasswordChange, request.data)
        user = passwords.change_password(actor=self.actor, data=data, network=client_ip(request), marks=request.COOKIES)
        response = Response(session_state(request, self.actor))
        if request.user is None or not request.user.is_authenticated:
            return response
        keep_session(request, user)
        return remembered(response, user)


class InvitationAddressView(ShopView):
    """The link of an invitation, for the owner to pass on."""

    needs = {"GET": Permission.MANAGE_MEMBERS}

    @extend_schema(
        operation_id="read_invitation_address",
        summary="The link at which an invited person sets their password",
        responses={200: InvitationAddress, **PROBLEMS},
        tags=["invitations"],
    )
    def get(self, request: Request, row_id: UUID) -> Response:
        url = invitations.address_of_invitation(actor=self.actor, invitation_id=row_id)
        return Response(to_json(InvitationAddress(url=url)), headers=SECRET_HEADERS)


class ApiKeyValueView(ShopView):
    """The value of a key, shown once: in no receipt, log or table as it is."""

    needs = {"POST": Permission.MANAGE_MEMBERS}

    @extend_schema(
        operation_id="make_api_key_value",
        summary="Make the value of a key and show it this once; a second one ends the first",
        request=None,
        responses={201: ApiKeyValue, **PROBLEMS},
        tags=["api keys"],
    )
    def post(self, request: Request, row_id: UUID) -> Response:
        value = tokens.make_key_value(actor=self.actor, key_id=row_id)
        return Response(to_json(ApiKeyValue(key=value)), status=201)
