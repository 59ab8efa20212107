"""Pictures, voice notes, and uploads by the tus protocol.

Version 1.0.0, with its extensions creation, expiration, termination and checksum.

An upload has the id of its attachment: there is one at most, and beginning it again resumes it.
"""

import hashlib
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.utils.http import http_date
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import exceptions
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from shopapi.accounts.rules import Permission
from shopapi.core.errors import DomainError, FieldError, Invalid, NotFound
from shopapi.core.http.openapi import PROBLEMS
from shopapi.core.http.problems import ProblemDetails, problem
from shopapi.core.http.views import ShopView
from shopapi.core.tenancy import see_shop
from shopapi.files import queries
from shopapi.files.models import Attachment
from shopapi.files.rules import MAX_BYTES, MAX_CHUNK_BYTES, read_checksum, read_metadata
from shopapi.files.rules.voice_notes import container_of
from shopapi.files.services import uploads

VERSION = "1.0.0"
ALGORITHMS = ("sha1", "sha256")
BYTES = "application/offset+octet-stream"
CHECKSUM_MISMATCH = 460


def _header(name: str, description: str, *, required: bool = True, kind: Any = str) -> OpenApiParameter:
    return OpenApiParameter(name, kind, OpenApiParameter.HEADER, required=required, description=description)


TUS = _header("Tus-Resumable", "The version of the protocol: 1.0.0.")


class _PictureView(ShopView):
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


class PictureView(_PictureView):
    small = False
    answers = ("image/jpeg",)

    @extend_schema(
        operation_id="read_picture",
        summary="The clean picture of an attachment",
        responses={(200, "image/jpeg"): OpenApiTypes.BINARY, **PROBLEMS},
        tags=["attachments"],
    )
    def get(self, request: Request, row_id: UUID) -> HttpResponse:
        return self.answer(row_id)


class ThumbnailView(_PictureView):
    small = True
    answers = ("image/jpeg",)

    @extend_schema(
        operation_id="read_thumbnail",
        summary="The picture of an attachment, small",
        responses={(200, "image/jpeg"): OpenApiTypes.BINARY, **PROBLEMS},
        tags=["attachments"],
    )
    def get(self, request: Request, row_id: UUID) -> HttpResponse:
        return self.answer(row_id)


class VoiceView(ShopView):
    needs = {"GET": Permission.READ}
    answers = ("audio/webm", "audio/mp4")

    @extend_schema(
        operation_id="read_voice_note",
        summary="The voice note of an attachment",
        responses={
            (200, "audio/webm"): OpenApiTypes.BINARY,
            (200, "audio/mp4"): OpenApiTypes.BINARY,
            **PROBLEMS,
        },
        tags=["attachments"],
    )
    def get(self, request: Request, row_id: UUID) -> HttpResponse:
        attachment = queries.attachments(self.actor).filter(id=row_id).first()
        if attachment is None:
            raise NotFound("attachments", row_id)
        content = queries.read_voice(attachment)
        # What was checked on arrival: one of two types, by the bytes; never what an uploader said it is.
        container = container_of(content) or "webm"
        return HttpResponse(
            content,
            content_type=f"audio/{container}",
            headers={
                "Cache-Control": "private, no-store",
                "Content-Disposition": f'attachment; filename="voice-note-{attachment.id}.{container}"',
                "Content-Security-Policy": "default-src 'none'; sandbox",
            },
        )


class _TusView(ShopView):
    """Version check and common headers of the protocol."""

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        if request.method == "OPTIONS":
            # Every signed-in member may ask which extensions are supported.
            APIView.initial(self, request, *args, **kwargs)
            see_shop(self.actor.shop_id)
            return
        super().initial(request, *args, **kwargs)
        if request.headers.get("Tus-Resumable") != VERSION:
            raise _UnsupportedVersion

    def handle_exception(self, exc: Exception) -> Response:
        if isinstance(exc, _UnsupportedVersion):
            response = problem(412, DomainError("wrong_version", context={"version": VERSION}))
            response["Tus-Version"] = VERSION
            return response
        return super().handle_exception(exc)

    def finalize_response(self, request: Request, response: Any, *args: Any, **kwargs: Any) -> Any:
        response = super().finalize_response(request, response, *args, **kwargs)
        response["Tus-Resumable"] = VERSION
        return response

    @extend_schema(exclude=True)
    def options(self, request: HttpRequest, *args: Any, **kwargs: Any) -> Response:
        return Response(
            status=204,
            headers={
                "Tus-Version": VERSION,
                "Tus-Extension": "creation,expiration,termination,checksum",
                "Tus-Max-Size": str(MAX_BYTES),
                "Tus-Checksum-Algorithm": ",".join(ALGORITHMS),
            },
        )

    def upload_headers(self, attachment: Attachment) -> dict[str, str]:
        """The headers that describe the state of an upload."""
        upload = queries.upload_of(self.actor, attachment.id)
        headers = {
            "Upload-Offset": str(uploads.upload_offset(attachment, upload)),
            "Upload-Length": str(attachment.bytes),
            "Cache-Control": "no-store",
        }
        if upload is not None:
            headers["Upload-Expires"] = http_date(upload.expires_at.timestamp())
        return headers


class _UnsupportedVersion(exceptions.APIException):
    status_code = 412


class UploadsView(_TusView):
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
        responses={201: None, 412: ProblemDetails, 413: ProblemDetails, 429: ProblemDetails, **PROBLEMS},
        tags=["uploads"],
    )
    def post(self, request: Request) -> Response:
        length = _int_header(request, "Upload-Length")
        if length > MAX_BYTES:
            return problem(413, DomainError("too_large", message="picture_too_large", context={"most": MAX_BYTES}))
        attachment = uploads.begin_upload(actor=self.actor, attachment_id=_attachment_id(request), length=length)
        location = request.build_absolute_uri(f"{request.path}/{attachment.id}")
        return Response(status=201, headers={"Location": location, **self.upload_headers(attachment)})


class UploadView(_TusView):
    needs = {"GET": Permission.WORK_JOBS, "PATCH": Permission.WORK_JOBS, "DELETE": Permission.WORK_JOBS}

    @extend_schema(
        operation_id="read_upload",
        summary="How far an upload has come (tus: HEAD)",
        parameters=[TUS],
        responses={200: None, 412: ProblemDetails, **PROBLEMS},
        tags=["uploads"],
    )
    def get(self, request: Request, row_id: UUID) -> Response:
        attachment = queries.attachments(self.actor).filter(id=row_id).first()
        if attachment is None:
            raise NotFound("attachments", row_id)
        return Response(headers=self.upload_headers(attachment))

    @extend_schema(
        operation_id="add_bytes",
        summary="Send the next bytes of an upload (tus: PATCH)",
        parameters=[
            TUS,
            _header("Upload-Offset", "How many bytes have come before these.", kind=int),
            _header("Upload-Checksum", "Of these bytes: `sha256` or `sha1` and the digest in base64.", required=False),
        ],
        request={BYTES: OpenApiTypes.BINARY},
        responses={204: None, 412: ProblemDetails, 413: ProblemDetails, 460: ProblemDetails, **PROBLEMS},
        tags=["uploads"],
    )
    def patch(self, request: Request, row_id: UUID) -> Response:
        if request.content_type != BYTES:
            raise exceptions.UnsupportedMediaType(request.content_type)
        offset = _int_header(request, "Upload-Offset")
        # Of a connection that was cut, the bytes before the cut are stored, so they need not be sent again.
        content = request.read(MAX_CHUNK_BYTES + 1)
        if len(content) > MAX_CHUNK_BYTES:
            return problem(413, DomainError("too_large", message="piece_too_large", context={"most": MAX_CHUNK_BYTES}))
        if not _checksum_holds(request, content):
            return problem(CHECKSUM_MISMATCH, DomainError("checksum_mismatch"))
        reached = uploads.add_bytes(actor=self.actor, attachment_id=row_id, offset=offset, content=content)
        if reached is None:
            return problem(CHECKSUM_MISMATCH, DomainError("upload_differs"))
        return Response(status=204, headers=self.upload_headers(queries.attachments(self.actor).get(id=row_id)))

    @extend_schema(
        operation_id="drop_upload",
        summary="Give up an upload (tus: termination)",
        parameters=[TUS],
        responses={204: None, 412: ProblemDetails, **PROBLEMS},
        tags=["uploads"],
    )
    def delete(self, request: Request, row_id: UUID) -> Response:
        uploads.cancel_upload(actor=self.actor, attachment_id=row_id)
        return Response(status=204)


def _int_header(request: Request, header: str) -> int:
    text = request.headers.get(header, "")
    if not (text.isascii() and text.isdigit() and len(text) <= 15):
        raise Invalid("invalid", fields=[FieldError(header, "header_missing", context={"header": header})])
    return int(text)


def _attachment_id(request: Request) -> UUID:
    try:
        return UUID(read_metadata(request.headers.get("Upload-Metadata", ""))["attachment"])
    except (KeyError, ValueError):
        raise Invalid(
            "invalid", fields=[FieldError("Upload-Metadata", "header_missing", message="metadata_missing")]
        ) from None


def _checksum_holds(request: Request, content: bytes) -> bool:
    header = request.headers.get("Upload-Checksum")
    if header is None:
        return True
    try:
        algorithm, digest = read_checksum(header)
    except ValueError:
        algorithm, digest = "", b""
    if algorithm not in ALGORITHMS:
        raise Invalid("invalid", fields=[FieldError("Upload-Checksum", "checksum_malformed")])
    return hashlib.new(algorithm, content, usedforsecurity=False).digest() == digest
