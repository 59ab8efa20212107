"""Pictures to look at, and uploads by the tus protocol.

Version 1.0.0, with its extensions creation, expiration, termination and checksum.

An upload is named by the attachment it belongs to: there is one at most, and beginning it again goes on with it.
"""

import hashlib
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.utils.http import http_date
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import exceptions
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from shopapi.accounts.rules import Permission
from shopapi.core.errors import FieldError, Invalid, NotFound
from shopapi.core.http import PROBLEMS, Problem, ShopView, problem
from shopapi.core.tenancy import see_shop
from shopapi.files import queries
from shopapi.files.models import Attachment
from shopapi.files.rules import MOST_BYTES, MOST_BYTES_AT_ONCE, read_checksum, read_metadata
from shopapi.files.services import uploading

VERSION = "1.0.0"
ALGORITHMS = ("sha1", "sha256")
BYTES = "application/offset+octet-stream"
CHECKSUM_MISMATCH = 460


def _header(name: str, description: str, *, required: bool = True, kind: Any = str) -> OpenApiParameter:
    return OpenApiParameter(name, kind, OpenApiParameter.HEADER, required=required, description=description)


TUS = _header("Tus-Resumable", "The version of the protocol: 1.0.0.")


class _Picture(ShopView):
    needs = {"GET": Permission.READ}
    small: bool

    def answer(self, row_id: UUID) -> HttpResponse:
        attachment = queries.attachments(self.actor).filter(id=row_id).first()
        if attachment is None:
            raise NotFound("attachments", row_id)
        return HttpResponse(
            queries.read_picture(attachment, small=self.small),
            content_type="image/jpeg",
            headers={"Cache-Control": "private, no-store"},
        )


class PictureView(_Picture):
    small = False

    @extend_schema(
        operation_id="read_picture",
        summary="The clean picture of an attachment",
        responses={(200, "image/jpeg"): OpenApiTypes.BINARY, **PROBLEMS},
        tags=["attachments"],
    )
    def get(self, request: Request, row_id: UUID) -> HttpResponse:
        return self.answer(row_id)


class ThumbnailView(_Picture):
    small = True

    @extend_schema(
        operation_id="read_thumbnail",
        summary="The picture of an attachment, small",
        responses={(200, "image/jpeg"): OpenApiTypes.BINARY, **PROBLEMS},
        tags=["attachments"],
    )
    def get(self, request: Request, row_id: UUID) -> HttpResponse:
        return self.answer(row_id)


class _Tus(ShopView):
    """What every request and answer of the protocol has in common."""

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        if request.method == "OPTIONS":
            # What can be done here is told to everyone who is signed in.
            APIView.initial(self, request, *args, **kwargs)
            see_shop(self.actor.shop_id)
            return
        super().initial(request, *args, **kwargs)
        if request.headers.get("Tus-Resumable") != VERSION:
            raise _WrongVersion

    def handle_exception(self, exc: Exception) -> Response:
        if isinstance(exc, _WrongVersion):
            words = f"Send Tus-Resumable: {VERSION}; this server speaks no other version."
            response = problem(412, "wrong_version", words)
            response["Tus-Version"] = VERSION
            return response
        return super().handle_exception(exc)

    def finalize_response(self, request: Request, response: Any, *args: Any, **kwargs: Any) -> Any:
        response = super().finalize_response(request, response, *args, **kwargs)
        response["Tus-Resumable"] = VERSION
        return response

    @extend_schema(exclude=True)
    def options(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return Response(
            status=204,
            headers={
                "Tus-Version": VERSION,
                "Tus-Extension": "creation,expiration,termination,checksum",
                "Tus-Max-Size": str(MOST_BYTES),
                "Tus-Checksum-Algorithm": ",".join(ALGORITHMS),
            },
        )

    def told(self, attachment: Attachment) -> dict[str, str]:
        """The headers that say where an upload stands."""
        upload = queries.upload_of(self.actor, attachment.id)
        headers = {
            "Upload-Offset": str(uploading.offset_of(attachment, upload)),
            "Upload-Length": str(attachment.bytes),
            "Cache-Control": "no-store",
        }
        if upload is not None:
            headers["Upload-Expires"] = http_date(upload.expires_at.timestamp())
        return headers


class _WrongVersion(exceptions.APIException):
    status_code = 412


class UploadsView(_Tus):
    needs = {"POST": Permission.WORK_JOBS}

    @extend_schema(
        operation_id="begin_upload",
        summary="Begin to send the bytes of an attachment (tus: creation)",
        parameters=[
            TUS,
            _header("Upload-Length", "How many bytes there are, as announced with the attachment.", kind=int),
            _header("Upload-Metadata", "`attachment` and, in base64, the id of the attachment as text."),
        ],
        request=None,
        responses={201: None, 412: Problem, 413: Problem, 429: Problem, **PROBLEMS},
        tags=["uploads"],
    )
    def post(self, request: Request) -> Response:
        length = _whole(request, "Upload-Length")
        if length > MOST_BYTES:
            return problem(413, "too_large", f"A picture may have {MOST_BYTES} bytes at most; send a smaller one.")
        attachment = uploading.begin_upload(actor=self.actor, attachment_id=_attachment_id(request), length=length)
        location = request.build_absolute_uri(f"{request.path}/{attachment.id}")
        return Response(status=201, headers={"Location": location, **self.told(attachment)})


class UploadView(_Tus):
    needs = {"GET": Permission.WORK_JOBS, "PATCH": Permission.WORK_JOBS, "DELETE": Permission.WORK_JOBS}

    @extend_schema(
        operation_id="read_upload",
        summary="How far an upload has come (tus: HEAD)",
        parameters=[TUS],
        responses={200: None, 412: Problem, **PROBLEMS},
        tags=["uploads"],
    )
    def get(self, request: Request, row_id: UUID) -> Response:
        attachment = queries.attachments(self.actor).filter(id=row_id).first()
        if attachment is None:
            raise NotFound("attachments", row_id)
        return Response(headers=self.told(attachment))

    @extend_schema(
        operation_id="add_bytes",
        summary="Send the next bytes of an upload (tus: PATCH)",
        parameters=[
            TUS,
            _header("Upload-Offset", "How many bytes have come before these.", kind=int),
            _header("Upload-Checksum", "Of these bytes: `sha256` or `sha1` and the digest in base64.", required=False),
        ],
        request={BYTES: OpenApiTypes.BINARY},
        responses={204: None, 412: Problem, 413: Problem, 460: Problem, **PROBLEMS},
        tags=["uploads"],
    )
    def patch(self, request: Request, row_id: UUID) -> Response:
        if request.content_type != BYTES:
            raise exceptions.UnsupportedMediaType(request.content_type)
        offset = _whole(request, "Upload-Offset")
        # A line that is cut in the middle gives what came before the cut: that much need not come again.
        content = request.read(MOST_BYTES_AT_ONCE + 1)
        if len(content) > MOST_BYTES_AT_ONCE:
            return problem(413, "too_large", f"Send {MOST_BYTES_AT_ONCE} bytes at most at a time.")
        if not _checksum_holds(request, content):
            return problem(
                CHECKSUM_MISMATCH, "checksum_mismatch", "These bytes were changed on the way; send them again."
            )
        reached = uploading.add_bytes(actor=self.actor, attachment_id=row_id, offset=offset, content=content)
        if reached is None:
            words = "What came is not what was announced: its SHA-256 differs. Send it again from the first byte."
            return problem(CHECKSUM_MISMATCH, "upload_differs", words)
        return Response(status=204, headers=self.told(queries.attachments(self.actor).get(id=row_id)))

    @extend_schema(
        operation_id="drop_upload",
        summary="Give up an upload (tus: termination)",
        parameters=[TUS],
        responses={204: None, 412: Problem, **PROBLEMS},
        tags=["uploads"],
    )
    def delete(self, request: Request, row_id: UUID) -> Response:
        uploading.drop_upload(actor=self.actor, attachment_id=row_id)
        return Response(status=204)


def _whole(request: Request, header: str) -> int:
    text = request.headers.get(header, "")
    if not (text.isascii() and text.isdigit() and len(text) <= 15):
        words = f"Send a header {header} with a whole number."
        raise Invalid("invalid", words, fields=[FieldError(header, "header_missing", words)])
    return int(text)


def _attachment_id(request: Request) -> UUID:
    try:
        return UUID(read_metadata(request.headers.get("Upload-Metadata", ""))["attachment"])
    except (KeyError, ValueError):
        words = "Send a header Upload-Metadata with `attachment` and the id of the attachment in base64."
        raise Invalid("invalid", words, fields=[FieldError("Upload-Metadata", "header_missing", words)]) from None


def _checksum_holds(request: Request, content: bytes) -> bool:
    header = request.headers.get("Upload-Checksum")
    if header is None:
        return True
    try:
        algorithm, digest = read_checksum(header)
    except ValueError:
        algorithm, digest = "", b""
    if algorithm not in ALGORITHMS:
        words = "Send Upload-Checksum as sha256 or sha1 and the digest in base64."
        raise Invalid("invalid", words, fields=[FieldError("Upload-Checksum", "checksum_malformed", words)])
    return hashlib.new(algorithm, content, usedforsecurity=False).digest() == digest
