"""A new password and a new address by a link in a mail. Its secret is behind a `#` and comes in the body."""

from django.db import transaction
from django.utils.decorators import method_decorator
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from shopapi.accounts.api.authentication import SessionSignIn
from shopapi.accounts.api.views import known_mark
from shopapi.accounts.models import User
from shopapi.accounts.rules import Permission
from shopapi.accounts.rules.mailed_links import AddressChange, AddressConfirmation, ResetPassword, ResetRequest
from shopapi.accounts.services import mailed_links
from shopapi.core.http.clients import client_ip
from shopapi.core.http.openapi import PROBLEMS
from shopapi.core.http.problems import ProblemDetails
from shopapi.core.http.views import ShopView
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop

DONE = {204: OpenApiResponse(description="Done."), 429: ProblemDetails, **PROBLEMS}
MAILED = {**DONE, 204: OpenApiResponse(description="A mail is on its way, if there is somebody.")}


# No transaction around these: a wrong link must be counted although the request is refused.
@method_decorator(transaction.non_atomic_requests, name="dispatch")
class ResetRequestView(APIView):
    """A mail with a link to set a new password."""

    permission_classes = [AllowAny]

    @extend_schema(
        request=ResetRequest,
        responses=MAILED,
        operation_id="ask_for_reset",
        summary="Ask for a mail with a link to set a new password",
        tags=["session"],
    )
    def post(self, request: Request) -> Response:
        """The answer is the same whether or not somebody signs in with this address."""
        SessionSignIn().enforce_csrf(request)
        data = parse(ResetRequest, request.data)
        mailed_links.ask_for_reset(email=data.email, network=client_ip(request))
        return Response(status=204)


@method_decorator(transaction.non_atomic_requests, name="dispatch")
class ResetPasswordView(APIView):
    """A new password by a mailed link."""

    permission_classes = [AllowAny]

    @extend_schema(
        request=ResetPassword,
        responses=DONE,
        operation_id="reset_password",
        summary="Set a new password by a mailed link",
        tags=["session"],
    )
    def post(self, request: Request) -> Response:
        """Ends every session and key of the member, who then signs in with it; a second factor stays."""
        SessionSignIn().enforce_csrf(request)
        data = parse(ResetPassword, request.data)
        mailed_links.reset_password(data=data, network=client_ip(request))
        return Response(status=204)


@method_decorator(transaction.non_atomic_requests, name="dispatch")
class AddressView(ShopView):
    """The address that the member signs in with."""

    needs = {"POST": Permission.READ}

    @extend_schema(
        request=AddressChange,
        responses=MAILED,
        operation_id="ask_for_address",
        summary="Ask for another address to sign in with",
        tags=["session"],
    )
    def post(self, request: Request) -> Response:
        """Mails a link to the new address, which replaces the old one once it is used, and a note to the old one."""
        data = parse(AddressChange, request.data)
        with in_shop(self.actor.shop_id):
            email = User.objects.values_list("email", flat=True).get(memberships=self.actor.member_id)
        mark = known_mark(request, email)
        mailed_links.ask_for_address(actor=self.actor, data=data, network=client_ip(request), mark=mark)
        return Response(status=204)


@method_decorator(transaction.non_atomic_requests, name="dispatch")
class AddressConfirmationView(APIView):
    """A new address by a mailed link."""

    permission_classes = [AllowAny]

    @extend_schema(
        request=AddressConfirmation,
        responses=DONE,
        operation_id="confirm_address",
        summary="Confirm a new address by the link that was mailed to it",
        tags=["session"],
    )
    def post(self, request: Request) -> Response:
        """From then on the member signs in with it."""
        SessionSignIn().enforce_csrf(request)
        data = parse(AddressConfirmation, request.data)
        mailed_links.confirm_address(token=data.token, network=client_ip(request))
        return Response(status=204)
