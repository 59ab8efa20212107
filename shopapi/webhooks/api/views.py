"""The secret of a webhook: made and shown once, in no receipt, log or table as it is."""

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.accounts.rules import Permission
from shopapi.core.http.openapi import PROBLEMS
from shopapi.core.http.views import ShopView
from shopapi.core.schema import to_json
from shopapi.webhooks.rules.webhook import WebhookSecret
from shopapi.webhooks.services.webhooks import make_secret


class WebhookSecretView(ShopView):
    needs = {"POST": Permission.EDIT_SHOP}

    @extend_schema(
        operation_id="make_webhook_secret",
        summary="Make a new secret for a webhook and show it this once",
        description=(
            "The first secret starts the webhook. After a further one deliveries are signed with both for 24 hours:"
            " `webhook-signature` then has two signatures."
        ),
        request=None,
        responses={201: WebhookSecret, **PROBLEMS},
        tags=["webhooks"],
    )
    def post(self, request: Request, row_id: UUID) -> Response:
        secret = make_secret(actor=self.actor, webhook_id=row_id)
        return Response(to_json(WebhookSecret(secret=secret)), status=201)
