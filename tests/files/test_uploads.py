"""Uploads by tus 1.0.0 (https://tus.io/protocols/resumable-upload, sections named beside the checks), and pictures."""

import base64
import hashlib
import socket
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from http.client import HTTPConnection, HTTPResponse
from io import BytesIO
from typing import Any
from uuid import UUID

import boto3
import pytest
from django.conf import settings
from django.core.files.storage import storages
from django.db import OperationalError
from django.test import override_settings
from moto import mock_aws
from PIL import Image
from psycopg.errors import DiskFull

from shopapi.core.actor import Actor
from shopapi.core.background import after_commit
from shopapi.core.clock import held_at
from shopapi.core.errors import Invalid, Unavailable, unpack
from shopapi.core.ids import uuid7
from shopapi.core.models import Outbox
from shopapi.core.rendering import render
from shopapi.core.tenancy import in_shop
from shopapi.files.models import Attachment, Upload, UploadPart
from shopapi.files.rules import MAX_BYTES, MAX_CHUNK_BYTES
from shopapi.files.services import attachments, picture_processing, uploads
from shopapi.files.tasks import clean_picture, forget_pictures
from tests.factories.crews import Browser, Crew, open_crew
from tests.factories.work import do, made
from tests.files.sample_pictures import encode, sample_image, with_metadata
from tests.site import LiveSite
from tests.sync.conftest import create_shop

TUS = {"Tus-Resumable": "1.0.0"}
BYTES = "application/offset+octet-stream"


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def create_attachment(actor: Actor, content: bytes, **more: Any) -> UUID:
    """Create an attachment for a picture whose bytes are `content`."""
    defaults = {
        "id": uuid7(),
        "about_kind": "finding",
        "about_id": uuid7(),
        "taken_at": "2026-05-01T10:00:00Z",
        "sha256": hashlib.sha256(content).hexdigest(),
        "bytes": len(content),
    }
    return made(actor, attachments.add_attachment, **{**defaults, **more})


@pytest.mark.parametrize("at", ["9999-12-31T23:59:59-12:00", "0001-01-01T00:00:00+14:00"])
def test_unrepresentable_taken_at_is_rejected(crew: Crew, at: str) -> None:
    """Such a row would break every pull of the shop: PostgreSQL stores the year 10000, Python cannot read it."""
    with pytest.raises(Invalid) as refused:
        create_attachment(crew.mechanic, b"x", taken_at=at)
    assert [(fault.field, fault.code) for fault in refused.value.fields] == [("taken_at", "unstorable_moment")]


class TusClient:
    """A tus client."""

    def __init__(self, crew: Crew) -> None:
        self.client = Browser(crew.mechanic).client

    def begin(self, attachment_id: UUID, length: int, **headers: str) -> Any:
        metadata = "attachment " + base64.b64encode(str(attachment_id).encode()).decode()
        sent = {**TUS, "Upload-Length": str(length), "Upload-Metadata": metadata, **headers}
        return self.client.post("/api/v1/uploads", b"", content_type="text/plain", headers=sent)

    def send(self, attachment_id: UUID, offset: int, content: bytes, *, kind: str = BYTES, **headers: str) -> Any:
        sent = {**TUS, "Upload-Offset": str(offset), **headers}
        return self.client.patch(f"/api/v1/uploads/{attachment_id}", content, content_type=kind, headers=sent)

    def ask(self, attachment_id: UUID) -> Any:
        return self.client.head(f"/api/v1/uploads/{attachment_id}", headers=TUS)


def run_outbox(crew: Crew) -> None:
    """Run the pending outbox tasks as a worker would."""
    tasks = {"files.clean_picture": clean_picture, "files.forget_pictures": forget_pictures}
    with in_shop(crew.shop_id):
        pending = list(
            Outbox.objects.filter(shop_id=crew.shop_id, done_at=None, task__in=tasks).values_list("task", "id")
        )
    for task, outbox_id in pending:
        tasks[task](str(crew.shop_id), str(outbox_id))


def test_pictures_have_lower_queue_priority(live_site: LiveSite) -> None:
    """With a real broker and worker: six pictures are queued first, one other task after them."""
    crew = open_crew()
    content = encode(sample_image(1600, 1200), "JPEG")
    for _ in range(6):
        attachment_id = create_attachment(crew.mechanic, content)
        sender = TusClient(crew)
        assert sender.begin(attachment_id, len(content)).status_code == 201
        assert sender.send(attachment_id, 0, content).status_code == 204
    with in_shop(crew.shop_id):
        after_commit("files.forget_pictures", shop_id=crew.shop_id, keys=["nothing"])
    live_site.start_worker()

    def in_order() -> list[str]:
        with in_shop(crew.shop_id):
            return list(Outbox.objects.exclude(done_at=None).order_by("done_at").values_list("task", flat=True))

    wait_for(lambda: len(in_order()) == 7 or None, seconds=120)
    assert in_order() == ["files.forget_pictures"] + ["files.clean_picture"] * 6


def attachment_of(crew: Crew, attachment_id: UUID) -> Attachment:
    with in_shop(crew.shop_id):
        return Attachment.objects.get(id=attachment_id)


def reason_of(attachment: Attachment) -> str:
    """The reason as a sentence."""
    return render(unpack(attachment.reason))


def test_upload_in_parts_is_processed_and_visible_to_its_shop_only(crew: Crew) -> None:
    content = with_metadata("JPEG")
    attachment_id = create_attachment(crew.mechanic, content)
    sender = TusClient(crew)
    begun = sender.begin(attachment_id, len(content))
    # "Creation": 201 with a Location; "Core": Tus-Resumable in every answer.
    assert (begun.status_code, begun["Tus-Resumable"]) == (201, "1.0.0")
    assert begun["Location"] == f"http://testserver/api/v1/uploads/{attachment_id}"
    assert (begun["Upload-Offset"], begun["Upload-Length"]) == ("0", str(len(content)))
    assert "Upload-Expires" in begun
    half = len(content) // 2
    first = sender.send(attachment_id, 0, content[:half])
    assert (first.status_code, first["Upload-Offset"]) == (204, str(half))
    # "HEAD": offset and length, never from a cache.
    asked = sender.ask(attachment_id)
    assert (asked.status_code, asked["Upload-Offset"], asked["Cache-Control"]) == (200, str(half), "no-store")
    assert attachment_of(crew, attachment_id).state == "waiting"
    last = sender.send(attachment_id, half, content[half:])
    assert (last.status_code, last["Upload-Offset"]) == (204, str(len(content)))
    assert attachment_of(crew, attachment_id).state == "received"

    run_outbox(crew)
    made = attachment_of(crew, attachment_id)
    assert (made.state, made.width, made.height) == ("ready", 640, 480)
    with in_shop(crew.shop_id):
        assert not Upload.objects.exists()
        assert not UploadPart.objects.exists()
    for path, size in (("picture", (640, 480)), ("thumbnail", (320, 240))):
        seen = Browser(crew.office).get(f"attachments/{attachment_id}/{path}")
        assert (seen.status_code, seen["Content-Type"], seen["Cache-Control"]) == (
            200,
            "image/jpeg",
            "private, no-store",
        )
        assert Image.open(BytesIO(seen.content)).size == size
        assert Browser(open_crew(f"{path} other").owner).get(f"attachments/{attachment_id}/{path}").status_code == 404
        assert Browser().get(f"attachments/{attachment_id}/{path}").status_code == 401


def test_cut_upload_resumes_at_the_next_byte(live_site: LiveSite) -> None:
    """A connection that announces everything and is cut after a third ("PATCH": a server keeps what it got)."""
    shop = create_shop()
    content = encode(sample_image(1200, 900), "PNG")
    third = len(content) // 3
    attachment_id = create_attachment(shop.owner, content)
    key = {"Authorization": f"Token {shop.owner_key}", **TUS}

    def ask(method: str, path: str, body: bytes | None = None, **headers: str) -> HTTPResponse:
        with closing(HTTPConnection("localhost", live_site.port, timeout=20)) as connection:
            connection.request(method, path, body, {**key, **headers})
            answer = connection.getresponse()
            answer.read()
        return answer

    metadata = "attachment " + base64.b64encode(str(attachment_id).encode()).decode()
    begin: dict[str, Any] = {"Upload-Length": str(len(content)), "Upload-Metadata": metadata}
    assert ask("POST", "/api/v1/uploads", **begin).status == 201
    path = f"/api/v1/uploads/{attachment_id}"
    lines = [f"PATCH {path} HTTP/1.1", f"Host: localhost:{live_site.port}", f"Content-Type: {BYTES}"]
    lines += [f"{name}: {value}" for name, value in key.items()]
    lines += ["Upload-Offset: 0", f"Content-Length: {len(content)}", "", ""]
    with socket.create_connection(("localhost", live_site.port)) as line:
        line.sendall("\r\n".join(lines).encode() + content[:third])
    kept = wait_for(lambda: int(ask("HEAD", path).headers["Upload-Offset"]) or None)
    assert kept == third
    # Beginning again resumes: one attachment has one upload.
    assert ask("POST", "/api/v1/uploads", **begin).headers["Upload-Offset"] == str(third)
    sent = ask("PATCH", path, content[third:], **{"Upload-Offset": str(third), "Content-Type": BYTES})
    assert (sent.status, sent.headers["Upload-Offset"]) == (204, str(len(content)))


def wait_for(answer: Callable[[], int | None], seconds: float = 10) -> int | None:
    until = time.monotonic() + seconds
    while (found := answer()) is None and time.monotonic() < until:
        time.sleep(0.05)
    return found


def test_repeated_upload_is_idempotent(crew: Crew) -> None:
    content = encode(sample_image(), "JPEG")
    attachment_id = create_attachment(crew.mechanic, content)
    sender = TusClient(crew)
    for _ in range(2):
        sender.begin(attachment_id, len(content))
        repeated = sender.send(attachment_id, 0, content)
    # "PATCH": a wrong offset is 409; our body has the right one.
    assert (repeated.status_code, repeated.json()["code"]) == (409, "wrong_offset")
    assert repeated.json()["offset"] == len(content)
    assert sender.ask(attachment_id)["Upload-Offset"] == str(len(content))
    with in_shop(crew.shop_id):
        assert Outbox.objects.filter(task="files.clean_picture").count() == 1
        assert UploadPart.objects.count() == 1


def test_bytes_with_a_wrong_checksum_are_refused(crew: Crew) -> None:
    content = encode(sample_image(), "JPEG")
    attachment_id = create_attachment(crew.mechanic, content)
    sender = TusClient(crew)
    sender.begin(attachment_id, len(content))
    # "Checksum": 460, and the bytes are discarded; sha1 must be known.
    for algorithm in ("sha1", "sha256"):
        checksum = f"{algorithm} {base64.b64encode(hashlib.new(algorithm, b'other').digest()).decode()}"
        refused = sender.send(attachment_id, 0, content[:500], **{"Upload-Checksum": checksum})
        assert (refused.status_code, refused.json()["code"]) == (460, "checksum_mismatch")
    assert sender.ask(attachment_id)["Upload-Offset"] == "0"
    right = base64.b64encode(hashlib.sha1(content[:500], usedforsecurity=False).digest()).decode()
    assert sender.send(attachment_id, 0, content[:500], **{"Upload-Checksum": f"sha1 {right}"}).status_code == 204
    # The whole differs from the announced digest: it starts over.
    differing = sender.send(attachment_id, 500, bytes(len(content) - 500))
    assert (differing.status_code, differing.json()["code"]) == (460, "upload_differs")
    assert sender.ask(attachment_id)["Upload-Offset"] == "0"
    sender.begin(attachment_id, len(content))
    assert sender.send(attachment_id, 0, content).status_code == 204


def test_client_errors_have_codes(crew: Crew) -> None:
    content = encode(sample_image(), "JPEG")
    attachment_id = create_attachment(crew.mechanic, content)
    sender = TusClient(crew)
    unknown = sender.begin(uuid7(), len(content))
    assert (unknown.status_code, unknown.json()["fields"][0]["field"]) == (404, "Upload-Metadata")
    assert sender.begin(attachment_id, len(content) + 1).json()["code"] == "length_differs"
    assert sender.begin(attachment_id, MAX_BYTES + 1).status_code == 413
    # "Core": another version is 412 with the supported ones.
    other = sender.begin(attachment_id, len(content), **{"Tus-Resumable": "0.2.2"})
    assert (other.status_code, other["Tus-Version"]) == (412, "1.0.0")
    assert sender.begin(attachment_id, len(content), **{"Upload-Length": "many"}).status_code == 422
    assert sender.begin(attachment_id, len(content), **{"Upload-Metadata": "attachment ???"}).status_code == 422
    sender.begin(attachment_id, len(content))
    # "PATCH": another content type is 415.
    assert sender.send(attachment_id, 0, content, kind="image/jpeg").status_code == 415
    assert sender.send(attachment_id, 7, content[7:]).json()["offset"] == 0
    assert sender.send(attachment_id, 0, content + b"!").json()["code"] == "too_many_bytes"
    assert sender.send(attachment_id, 0, bytes(MAX_CHUNK_BYTES + 1)).status_code == 413
    assert sender.send(uuid7(), 0, content).status_code == 404
    assert sender.send(attachment_id, 0, content, **{"Upload-Checksum": "crc32 AAAA"}).status_code == 422
    stranger = TusClient(open_crew("Another"))
    foreign = (stranger.ask(attachment_id), stranger.send(attachment_id, 0, content), stranger.begin(attachment_id, 1))
    dropped = stranger.client.delete(f"/api/v1/uploads/{attachment_id}", headers=TUS)
    assert [answer.status_code for answer in (*foreign, dropped)] == [404] * 4
    # "OPTIONS": what is supported.
    response = sender.client.options("/api/v1/uploads")
    assert response.status_code == 204
    assert (response["Tus-Version"], response["Tus-Max-Size"]) == ("1.0.0", str(MAX_BYTES))
    assert response["Tus-Extension"] == "creation,expiration,termination,checksum"
    assert response["Tus-Checksum-Algorithm"] == "sha1,sha256"


def test_terminated_upload_can_be_restarted(crew: Crew) -> None:
    content = encode(sample_image(), "JPEG")
    attachment_id = create_attachment(crew.mechanic, content)
    sender = TusClient(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content[:900])
    # "Termination": 204, and the received bytes are deleted.
    assert sender.client.delete(f"/api/v1/uploads/{attachment_id}", headers=TUS).status_code == 204
    assert sender.ask(attachment_id)["Upload-Offset"] == "0"
    sender.begin(attachment_id, len(content))
    assert sender.send(attachment_id, 0, content).status_code == 204


def test_complete_upload_cannot_be_terminated(crew: Crew) -> None:
    content = encode(sample_image(), "JPEG")
    attachment_id = create_attachment(crew.mechanic, content)
    sender = TusClient(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)
    assert sender.client.delete(f"/api/v1/uploads/{attachment_id}", headers=TUS).status_code == 204
    run_outbox(crew)
    assert attachment_of(crew, attachment_id).state == "ready"


def test_processing_does_not_hold_the_shop_lock(crew: Crew, monkeypatch: pytest.MonkeyPatch) -> None:
    content = encode(sample_image(), "JPEG")
    attachment_id = create_attachment(crew.mechanic, content)
    sender = TusClient(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)
    order: list[str] = []

    def noting(name: str) -> Callable[..., Any]:
        real = getattr(picture_processing, name)

        def noted(*args: Any) -> Any:
            order.append(name)
            return real(*args)

        return noted

    for name in ("process_image", "_store_picture", "lock_shop"):
        monkeypatch.setattr(picture_processing, name, noting(name))
    run_outbox(crew)
    assert order == ["process_image", "_store_picture", "lock_shop"]
    assert attachment_of(crew, attachment_id).state == "ready"


def test_picture_removed_during_processing_leaves_no_files(crew: Crew, monkeypatch: pytest.MonkeyPatch) -> None:
    content = encode(sample_image(), "JPEG")
    attachment_id = create_attachment(crew.mechanic, content)
    sender = TusClient(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)
    keep = picture_processing._store_picture

    def removed_first(attachment: Attachment, made: picture_processing.ProcessedPicture) -> None:
        do(crew.mechanic, attachments.remove_attachment, id=attachment_id)
        keep(attachment, made)

    monkeypatch.setattr(picture_processing, "_store_picture", removed_first)
    run_outbox(crew)
    assert not storages["pictures"].exists(f"{crew.shop_id}/{attachment_id}/picture.jpg")


def test_stale_uploads_are_dropped_and_complete_ones_kept(crew: Crew) -> None:
    content = encode(sample_image(), "JPEG")
    sender = TusClient(crew)
    halves, wholes = create_attachment(crew.mechanic, content), create_attachment(crew.mechanic, content)
    for attachment_id, most in ((halves, 700), (wholes, len(content))):
        sender.begin(attachment_id, len(content))
        sender.send(attachment_id, 0, content[:most])
    with in_shop(crew.shop_id):
        Upload.objects.update(expires_at="2026-01-01T00:00:00Z")
        assert uploads.drop_stale_uploads(actor=crew.owner) == 1
    assert sender.ask(halves)["Upload-Offset"] == "0"
    run_outbox(crew)
    assert attachment_of(crew, wholes).state == "ready"


def test_refused_picture_has_a_reason(crew: Crew) -> None:
    content = b"<svg/>"
    attachment_id = create_attachment(crew.mechanic, content)
    sender = TusClient(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)
    assert Browser(crew.owner).get(f"attachments/{attachment_id}/picture").json()["code"] == "no_picture_yet"
    run_outbox(crew)
    refused = attachment_of(crew, attachment_id)
    assert (refused.state, reason_of(refused)[:22]) == ("refused", "Can't read this photo;")
    response = Browser(crew.owner).get(f"attachments/{attachment_id}/picture")
    assert (response.status_code, response.json()["detail"]) == (409, reason_of(refused))
    row = Browser(crew.owner).get(f"attachments/{attachment_id}").json()
    assert (row["reason"], row["because"]) == (reason_of(refused), {"code": "no_picture", "context": {}})
    with in_shop(crew.shop_id):
        # As it was stored before there were codes.
        Attachment.objects.filter(id=attachment_id).update(reason="This picture is damaged. Take it again.")
    row = Browser(crew.owner).get(f"attachments/{attachment_id}").json()
    assert (row["reason"], row["because"]) == ("This picture is damaged. Take it again.", None)


def test_full_disk_is_reported_and_retried(crew: Crew, monkeypatch: pytest.MonkeyPatch) -> None:
    content = encode(sample_image(), "JPEG")
    attachment_id = create_attachment(crew.mechanic, content)
    sender = TusClient(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)

    def full(*_: Any, **__: Any) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(type(storages["pictures"]), "save", full)
        with pytest.raises(Exception, match="No space left on device"):
            run_outbox(crew)
    waits = attachment_of(crew, attachment_id)
    assert (waits.state, reason_of(waits)) == ("received", "The photo couldn't be saved: No space left on device.")
    run_outbox(crew)
    assert (attachment_of(crew, attachment_id).state, attachment_of(crew, attachment_id).reason) == ("ready", "")


def test_full_database_stores_nothing_of_a_part(crew: Crew, monkeypatch: pytest.MonkeyPatch) -> None:
    content = encode(sample_image(), "JPEG")
    attachment_id = create_attachment(crew.mechanic, content)
    sender = TusClient(crew)
    sender.begin(attachment_id, len(content))

    def full(*_: Any, **__: Any) -> None:
        # As Django passes on what PostgreSQL answers then (class 53, disk_full).
        raise OperationalError("could not extend file") from DiskFull("could not extend file")

    with monkeypatch.context() as patch:
        patch.setattr(UploadPart.objects, "create", full)
        refused = sender.send(attachment_id, 0, content)
    assert (refused.status_code, refused.json()["code"]) == (507, "disk_full")
    assert sender.ask(attachment_id)["Upload-Offset"] == "0"
    assert sender.send(attachment_id, 0, content).status_code == 204


def test_removed_picture_leaves_no_files(crew: Crew) -> None:
    content = encode(sample_image(), "JPEG")
    attachment_id = create_attachment(crew.mechanic, content)
    sender = TusClient(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)
    run_outbox(crew)
    key = f"{crew.shop_id}/{attachment_id}/picture.jpg"
    assert storages["pictures"].exists(key)
    do(crew.mechanic, attachments.remove_attachment, id=attachment_id)
    run_outbox(crew)
    assert not storages["pictures"].exists(key)


@override_settings(UPLOAD_BYTES_A_DAY=1_000_000)
def test_daily_upload_quota(crew: Crew) -> None:
    content = b"x" * 600_000
    first, second = (create_attachment(crew.mechanic, content) for _ in range(2))
    sender = TusClient(crew)
    with held_at(datetime(2026, 5, 1, 15, tzinfo=UTC)):
        assert sender.begin(first, len(content)).status_code == 201
        assert sender.send(first, 0, content).status_code == 204
        refused = sender.begin(second, len(content))
        assert (refused.status_code, refused["Content-Type"]) == (429, "application/problem+json")
        # RFC 9110, section 10.2.3: how long to wait, in seconds.
        assert refused["Retry-After"] == "300"
        [fault] = refused.json()["fields"]
        assert (fault["field"], fault["code"]) == ("Upload-Length", "upload_day_full")
        assert "1 MB" in fault["words"]
        assert "tomorrow" in fault["words"]
        other = open_crew("Other Yard")
        assert TusClient(other).begin(create_attachment(other.mechanic, content), len(content)).status_code == 201
    # Midnight at the shop (UTC-5 in May), not at the server.
    for hour, status in ((4, 429), (5, 201)):
        with held_at(datetime(2026, 5, 2, hour, 30, tzinfo=UTC)):
            assert sender.begin(second, len(content)).status_code == status


@override_settings(UPLOAD_BYTES_A_DAY=1000)
def test_discarded_bytes_count_towards_the_quota(crew: Crew) -> None:
    attachment_id = create_attachment(crew.mechanic, b"x" * 600)
    sender = TusClient(crew)
    sender.begin(attachment_id, 600)
    assert sender.send(attachment_id, 0, b"y" * 600).status_code == 460
    assert sender.begin(attachment_id, 600).status_code == 429


@override_settings(OPEN_UPLOADS=2)
def test_open_upload_limit(crew: Crew) -> None:
    content = encode(sample_image(), "JPEG")
    first, second, third = (create_attachment(crew.mechanic, content) for _ in range(3))
    sender = TusClient(crew)
    assert [sender.begin(one, len(content)).status_code for one in (first, second, third)] == [201, 201, 429]
    assert sender.begin(third, len(content)).json()["fields"][0]["code"] == "too_many_uploads"
    # An upload that was begun resumes, and a complete one makes room.
    assert sender.begin(first, len(content)).status_code == 201
    sender.send(first, 0, content)
    assert sender.begin(third, len(content)).status_code == 201


def test_stored_picture_is_deleted_after_a_storage_outage(crew: Crew) -> None:
    content = encode(sample_image(), "JPEG")
    attachment_id = create_attachment(crew.mechanic, content)
    sender = TusClient(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)
    run_outbox(crew)
    do(crew.mechanic, attachments.remove_attachment, id=attachment_id)
    with in_shop(crew.shop_id):
        Outbox.objects.filter(task="files.forget_pictures").update(attempts=8, failed_at="2026-05-01T10:00:00Z")
        uploads.requeue_failed_pictures(actor=crew.owner)
    run_outbox(crew)
    assert not storages["pictures"].exists(f"{crew.shop_id}/{attachment_id}/picture.jpg")


def test_pictures_in_object_storage(crew: Crew) -> None:
    """Against moto's S3, running in this process."""
    content = encode(sample_image(), "JPEG")
    attachment_id = create_attachment(crew.mechanic, content)
    sender = TusClient(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)
    options = {"bucket_name": "pictures", "region_name": "us-east-1", "access_key": "key", "secret_key": "secret"}
    stores = settings.STORAGES | {"pictures": {"BACKEND": "storages.backends.s3.S3Storage", "OPTIONS": options}}
    with mock_aws(), override_settings(STORAGES=stores):
        boto3.client("s3", region_name="us-east-1").create_bucket(Bucket="pictures")
        run_outbox(crew)
        seen = Browser(crew.owner).get(f"attachments/{attachment_id}/picture")
        assert (seen.status_code, Image.open(BytesIO(seen.content)).size) == (200, (640, 480))
        do(crew.mechanic, attachments.remove_attachment, id=attachment_id)
        run_outbox(crew)
        kept = boto3.client("s3", region_name="us-east-1").list_objects_v2(Bucket="pictures")
        assert kept["KeyCount"] == 0


def test_unavailable_object_storage_is_reported_and_retried(crew: Crew) -> None:
    content = encode(sample_image(), "JPEG")
    attachment_id = create_attachment(crew.mechanic, content)
    sender = TusClient(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)
    options = {"bucket_name": "none", "region_name": "us-east-1", "access_key": "key", "secret_key": "secret"}
    stores = settings.STORAGES | {"pictures": {"BACKEND": "storages.backends.s3.S3Storage", "OPTIONS": options}}
    with mock_aws(), override_settings(STORAGES=stores):
        with pytest.raises(Unavailable):
            run_outbox(crew)
        waits = attachment_of(crew, attachment_id)
        assert (waits.state, reason_of(waits)[:30]) == ("received", "The photo couldn't be saved: A")
        boto3.client("s3", region_name="us-east-1").create_bucket(Bucket="none")
        run_outbox(crew)
        assert attachment_of(crew, attachment_id).state == "ready"
        boto3.resource("s3", region_name="us-east-1").Bucket("none").objects.all().delete()
        boto3.client("s3", region_name="us-east-1").delete_bucket(Bucket="none")
        gone = Browser(crew.owner).get(f"attachments/{attachment_id}/picture")
        assert (gone.status_code, gone.json()["code"]) == (503, "picture_gone")
