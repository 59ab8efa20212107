"""Second factors and passkeys of the person who is signed in, and signing in with a passkey."""

from collections.abc import Callable
from typing import Any, TypeVar
from uuid import UUID

from django.db import transaction
from django.utils.decorators import method_decorator
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from shopapi.accounts.api.authentication import SessionSignIn
from shopapi.accounts.api.proof import note_proof, require_proof
from shopapi.accounts.api.views import SessionState, keep_session, known_mark, remembered, signed_in
from shopapi.accounts.models import User
from shopapi.accounts.rules import Permission
from shopapi.accounts.rules.factors import (
    CHALLENGE_LIFE,
    AuthenticatorConfirmation,
    AuthenticatorSetUp,
    NewPasskey,
    PasskeyCreation,
    PasskeyRequest,
    PasskeySignIn,
    Proof,
    RecoveryCodes,
    SecondFactors,
)
from shopapi.accounts.services import credentials, factors, passkeys
from shopapi.core.errors import FieldError, Forbidden, Invalid
from shopapi.core.http.clients import client_ip
from shopapi.core.http.openapi import PROBLEMS
from shopapi.core.http.problems import ProblemDetails
from shopapi.core.http.views import ShopView
from shopapi.core.schema import Schema, parse, to_json

DONE = OpenApiResponse(description="Done.")
Method = TypeVar("Method", bound=Callable[..., Any])


def person_of(request: Request) -> User:
    """The person who is signed in; raises Forbidden `session_needed` for a key of another program."""
    if not isinstance(request.user, User):
        raise Forbidden("session_needed")
    return request.user


def described(
    operation_id: str, summary: str, answer: Any, request: Any = None, status: int = 200
) -> Callable[[Method], Method]:
    """The entry of a method in the OpenAPI document."""
    responses = {status: answer, 429: ProblemDetails, **PROBLEMS}
    return extend_schema(
        operation_id=operation_id, summary=summary, request=request, responses=responses, tags=["session"]
    )


# No transaction around these: a wrong code or password must be counted although the request is refused.
without_transaction = method_decorator(transaction.non_atomic_requests, name="dispatch")


class OwnView(ShopView):
    """Base of views about the person who is signed in, whatever their role."""

    def changed(self, request: Request, answer: Schema | None = None, status: int = 200) -> Response:
        """The answer after a change of factors: this session goes on, the others have ended."""
        note_proof(request.session)
        body = None if answer is None else to_json(answer)
        return self.kept(request, Response(body, status=204 if answer is None else status))

    def kept(self, request: Request, response: Response) -> Response:
        """The answer to the session that goes on, after the others have ended."""
        user = person_of(request)
        keep_session(request, user)
        return remembered(response, user)


@without_transaction
class FactorsView(OwnView):
    """The second factors of the person who is signed in."""

    needs = {"GET": Permission.READ}

    @described("read_second_factors", "One's own passkeys and second factors", SecondFactors)
    def get(self, request: Request) -> Response:
        return Response(to_json(factors.factors_of(person_of(request))))


@without_transaction
class PasskeyOptionsView(OwnView):
    """What a browser needs to create a passkey."""

    needs = {"POST": Permission.READ}

    @described("begin_passkey", "Begin to add a passkey", PasskeyCreation)
    def post(self, request: Request) -> Response:
        require_proof(request)
        return Response(to_json(passkeys.creation_options(user=person_of(request), session=request.session)))


@without_transaction
class PasskeysView(OwnView):
    """The passkeys of the person who is signed in."""

    needs = {"POST": Permission.READ}

    @described("add_passkey", "Add the passkey that the browser has created", RecoveryCodes, NewPasskey, 201)
    def post(self, request: Request) -> Response:
        """Ends the person's other sessions. With the first factor come ten recovery codes, shown this once."""
        user = person_of(request)
        require_proof(request)
        data = parse(NewPasskey, request.data)
        codes = factors.add_passkey(actor=self.actor, user=user, data=data, session=request.session)
        return self.changed(request, RecoveryCodes(codes=codes), 201)


@without_transaction
class PasskeyRemovalView(OwnView):
    """The end of a passkey."""

    needs = {"POST": Permission.READ}

    @described("remove_passkey", "Remove a passkey, ending one's other sessions", DONE, status=204)
    def post(self, request: Request, row_id: UUID) -> Response:
        user = person_of(request)
        require_proof(request)
        factors.remove_passkey(actor=self.actor, user=user, passkey_id=row_id)
        return self.changed(request)


@without_transaction
class AuthenticatorView(OwnView):
    """The authenticator app of the person who is signed in."""

    needs = {"POST": Permission.READ}

    @described("begin_authenticator", "Begin to set up an authenticator app", AuthenticatorSetUp, status=201)
    def post(self, request: Request) -> Response:
        """It counts once a code of it is confirmed."""
        user = person_of(request)
        require_proof(request)
        return Response(to_json(factors.begin_authenticator(user=user)), status=201)


@without_transaction
class AuthenticatorConfirmationView(OwnView):
    """The first code of an authenticator app."""

    needs = {"POST": Permission.READ}

    @described("confirm_authenticator", "Let an authenticator app count", RecoveryCodes, AuthenticatorConfirmation)
    def post(self, request: Request) -> Response:
        """Ends the person's other sessions. With the first factor come ten recovery codes, shown this once."""
        user = person_of(request)
        require_proof(request)
        data = parse(AuthenticatorConfirmation, request.data)
        codes = factors.confirm_authenticator(actor=self.actor, user=user, code=data.code)
        return self.changed(request, RecoveryCodes(codes=codes))


@without_transaction
class AuthenticatorRemovalView(OwnView):
    """The end of an authenticator app."""

    needs = {"POST": Permission.READ}

    @described("remove_authenticator", "Remove the authenticator app, ending one's other sessions", DONE, status=204)
    def post(self, request: Request) -> Response:
        user = person_of(request)
        require_proof(request)
        factors.remove_authenticator(actor=self.actor, user=user)
        return self.changed(request)


@without_transaction
class RecoveryCodesView(OwnView):
    """The recovery codes of the person who is signed in."""

    needs = {"POST": Permission.READ}

    @described("make_recovery_codes", "Make ten new recovery codes; the earlier ones end", RecoveryCodes, status=201)
    def post(self, request: Request) -> Response:
        user = person_of(request)
        require_proof(request)
        codes = factors.new_recovery_codes(actor=self.actor, user=user)
        return self.changed(request, RecoveryCodes(codes=codes), 201)


@without_transaction
class PasskeyChallengeView(APIView):
    """What a browser needs to sign in with a passkey."""

    permission_classes = [AllowAny]

    @described("begin_passkey_sign_in", "Begin to sign in with a passkey", PasskeyRequest)
    def post(self, request: Request) -> Response:
        SessionSignIn().enforce_csrf(request)
        if not request.user or not request.user.is_authenticated:
            request.session.set_expiry(CHALLENGE_LIFE)
        return Response(to_json(passkeys.request_options(session=request.session)))


@without_transaction
class PasskeySignInView(APIView):
    """Sign-in with a passkey alone."""

    permission_classes = [AllowAny]

    @described("sign_in_with_passkey", "Sign in with a passkey, without a password", SessionState, PasskeySignIn)
    def post(self, request: Request) -> Response:
        """A passkey is unlocked on its device, so that it counts as both factors."""
        SessionSignIn().enforce_csrf(request)
        data = parse(PasskeySignIn, request.data)
        user = passkeys.user_by_passkey(data=data, session=request.session)
        return signed_in(request, user, "passkey")


@without_transaction
class ProofChallengeView(OwnView):
    """What a browser needs to prove with a passkey who is there."""

    needs = {"POST": Permission.READ}

    @described("begin_proof", "Begin to prove with a passkey who is there", PasskeyRequest)
    def post(self, request: Request) -> Response:
        return Response(to_json(passkeys.request_options(session=request.session, user=person_of(request))))


@without_transaction
class ProofView(OwnView):
    """The password or a passkey again."""

    needs = {"POST": Permission.READ}

    @described("prove", "Give the password or a passkey again, before something dangerous", DONE, Proof, 204)
    def post(self, request: Request) -> Response:
        """Holds for fifteen minutes in this session. Wrong passwords count as at sign-in."""
        user = person_of(request)
        data = parse(Proof, request.data)
        if data.passkey is not None:
            passkeys.user_by_passkey(data=data.passkey, session=request.session, user=user)
        else:
            _check_password(request, user, data.password or "")
        note_proof(request.session)
        return Response(status=204)


def _check_password(request: Request, user: User, password: str) -> None:
    mark = known_mark(request, user.email)
    try:
        credentials.check_sign_in(email=user.email, password=password, network=client_ip(request), mark=mark)
    except Invalid:
        fault = FieldError("password", "wrong_password", message="not_your_password")
        raise Invalid("wrong_password", reason=fault.reason, fields=[fault]) from None
