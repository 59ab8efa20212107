"""Who is calling: a session on the same origin, or a key. The result of both is an Actor in `request.auth`."""

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework import authentication, exceptions
from rest_framework.request import Request

from shopapi.accounts import queries
from shopapi.accounts.models import User
from shopapi.core.actor import Actor


class SessionSignIn(authentication.SessionAuthentication):
    """The browser's session, with the CSRF header demanded on every write."""

    def authenticate(self, request: Request) -> tuple[User, Actor] | None:
        found = super().authenticate(request)
        if found is None:
            return None
        user = found[0]
        actor = queries.actor_for_user(user.pk) or queries.leaver_for_user(user.pk)
        if actor is None:
            raise exceptions.AuthenticationFailed("Your membership has ended.", code="no_membership")
        return user, actor

    def authenticate_header(self, request: Request) -> str:
        # With a header DRF answers 401, which tells a phone to sign in again; without one it would answer 403.
        return "Session"


class KeySignIn(authentication.BaseAuthentication):
    """`Authorization: Token <key>` for API clients."""

    def authenticate(self, request: Request) -> tuple[Any, Actor] | None:
        scheme, _, key = request.headers.get("Authorization", "").partition(" ")
        if scheme.lower() != "token":
            return None
        actor = queries.actor_for_token(key.strip())
        if actor is None:
            raise exceptions.AuthenticationFailed("This key is unknown or was revoked.", code="bad_token")
        return None, actor

    def authenticate_header(self, request: Request) -> str:
        return "Token"


class SessionSignInSchema(OpenApiAuthenticationExtension):
    target_class = SessionSignIn
    name = "session"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {"type": "apiKey", "in": "cookie", "name": "__Host-session"}


class KeySignInSchema(OpenApiAuthenticationExtension):
    target_class = KeySignIn
    name = "token"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {"type": "apiKey", "in": "header", "name": "Authorization", "description": "`Token <key>`"}
