"""What is set up here, a message in full, and templates tried out."""

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.accounts.rules import Permission
from shopapi.core.http import PROBLEMS, ShopView
from shopapi.core.shape import decode, plain
from shopapi.notices import queries
from shopapi.notices.rules.notice import ChannelsRow, Preview, TemplateRecord
from shopapi.notices.rules.wording import Wording, check_wording, fill, sort_of
from shopapi.notices.services.sending import resolved_words

TAGS = ["notices"]


class ChannelsView(ShopView):
    needs = {"GET": Permission.READ}

    @extend_schema(
        operation_id="read_channels",
        summary="What this server can send over by itself, and the key that push subscriptions are made with",
        responses={200: ChannelsRow, **PROBLEMS},
        tags=TAGS,
    )
    def get(self, request: Request) -> Response:
        return Response(plain(queries.channels()))


class TextView(ShopView):
    needs = {"GET": Permission.MESSAGE}

    @extend_schema(
        operation_id="read_notice_text",
        summary="A message in full with its secret link, to be sent by hand",
        responses={200: Preview, **PROBLEMS},
        tags=TAGS,
    )
    def get(self, request: Request, row_id: UUID) -> Response:
        notice = queries.notice_for(self.actor, row_id)
        subject, body = resolved_words(self.actor, notice)
        return Response(plain(Preview(subject=subject, body=body)))


class PreviewView(ShopView):
    needs = {"POST": Permission.EDIT_SHOP}

    @extend_schema(
        operation_id="preview_notice_template",
        summary="A template as it would read, with example values; nothing is kept",
        request=TemplateRecord,
        responses={200: Preview, **PROBLEMS},
        tags=TAGS,
    )
    def post(self, request: Request) -> Response:
        data = decode(TemplateRecord, request.data)
        check_wording(data.key, data.channel, Wording(subject=data.subject, body=data.body))
        examples = sort_of(data.key, data.channel).examples
        return Response(plain(Preview(subject=fill(data.subject, examples), body=fill(data.body, examples))))
