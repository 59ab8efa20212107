"""Channels that are set up, the full text of a message, and template previews."""

from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.accounts.rules import Permission
from shopapi.core.http.answers import SECRET_HEADERS
from shopapi.core.http.openapi import PROBLEMS
from shopapi.core.http.views import ShopView
from shopapi.core.rows import row_for
from shopapi.core.schema import parse, to_json
from shopapi.notices import queries
from shopapi.notices.models import Notice
from shopapi.notices.rules.notice import ChannelsRow, Preview, TemplateRecord
from shopapi.notices.rules.templates import Wording, check_template, fill, message_type_of
from shopapi.notices.services.delivery import final_texts

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
        return Response(to_json(queries.channels()))


class TextView(ShopView):
    needs = {"GET": Permission.MESSAGE}

    @extend_schema(
        operation_id="read_notice_text",
        summary="A message in full with its secret link, to be sent by hand",
        responses={200: Preview, **PROBLEMS},
        tags=TAGS,
    )
    def get(self, request: Request, row_id: UUID) -> Response:
        notice = row_for(Notice, self.actor, row_id)
        subject, body = final_texts(self.actor, notice)
        return Response(to_json(Preview(subject=subject, body=body)), headers=SECRET_HEADERS)


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
        data = parse(TemplateRecord, request.data)
        check_template(data.key, data.channel, Wording(subject=data.subject, body=data.body))
        examples = message_type_of(data.key, data.channel).examples
        return Response(to_json(Preview(subject=fill(data.subject, examples), body=fill(data.body, examples))))
