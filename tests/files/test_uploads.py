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
from shopapi.core.clock import held_at
from shopapi.core.errors import Invalid, Unavailable
from shopapi.core.ids import uuid7
from shopapi.core.models import Outbox
from shopapi.core.tenancy import in_shop
from shopapi.files.models import Attachment, Upload, UploadPart
from shopapi.files.rules import MOST_BYTES, MOST_BYTES_AT_ONCE
from shopapi.files.services import attaching, cleaning, uploading
from shopapi.files.tasks import clean_picture, forget_pictures
from tests.factories.crews import Browser, Crew, open_crew
from tests.factories.work import do
from tests.files.pictures import drawn, saved, telling
from tests.site import LiveSite
from tests.sync.conftest import open_house

TUS = {"Tus-Resumable": "1.0.0"}
BYTES = "application/offset+octet-stream"


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def attached(actor: Actor, content: bytes, **more: Any) -> UUID:
    """The words of a picture whose bytes are `content`."""
    told = {
        "id": uuid7(),
        "about_kind": "finding",
        "about_id": uuid7(),
        "taken_at": "2026-05-01T10:00:00Z",
        "sha256": hashlib.sha256(content).hexdigest(),
        "bytes": len(content),
    }
    return do(actor, attaching.add_attachment, **{**told, **more}).id


@pytest.mark.parametrize("at", ["9999-12-31T23:59:59-12:00", "0001-01-01T00:00:00+14:00"])
def test_a_time_that_could_not_be_read_again_is_not_written(crew: Crew, at: str) -> None:
    """One such row would stop every phone of the shop: PostgreSQL keeps the year 10000, Python knows none."""
    with pytest.raises(Invalid) as refused:
        attached(crew.mechanic, b"x", taken_at=at)
    assert [(fault.field, fault.code) for fault in refused.value.fields] == [("taken_at", "unstorable_moment")]


class Sender:
    """A tus client, a request at a time."""

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


def work_off(crew: Crew) -> None:
    """What a worker does with what is owed."""
    tasks = {"files.clean_picture": clean_picture, "files.forget_pictures": forget_pictures}
    with in_shop(crew.shop_id):
        owed = list(Outbox.objects.filter(shop_id=crew.shop_id, done_at=None, task__in=tasks).values_list("task", "id"))
    for task, outbox_id in owed:
        tasks[task](str(crew.shop_id), str(outbox_id))


def state_of(crew: Crew, attachment_id: UUID) -> Attachment:
    with in_shop(crew.shop_id):
        return Attachment.objects.get(id=attachment_id)


def test_sent_in_parts_made_clean_and_seen_by_the_shop_alone(crew: Crew) -> None:
    content = telling("JPEG")
    attachment_id = attached(crew.mechanic, content)
    sender = Sender(crew)
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
    assert state_of(crew, attachment_id).state == "waiting"
    last = sender.send(attachment_id, half, content[half:])
    assert (last.status_code, last["Upload-Offset"]) == (204, str(len(content)))
    assert state_of(crew, attachment_id).state == "received"

    work_off(crew)
    made = state_of(crew, attachment_id)
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


def test_cut_line_goes_on_at_the_byte_after_the_cut(live_site: LiveSite) -> None:
    """A real line that promises all and is cut after a third ("PATCH": a server keeps as much as it got)."""
    house = open_house()
    content = saved(drawn(1200, 900), "PNG")
    third = len(content) // 3
    attachment_id = attached(house.owner, content)
    key = {"Authorization": f"Token {house.owner_key}", **TUS}

    def ask(method: str, path: str, body: bytes | None = None, **headers: str) -> HTTPResponse:
        with closing(HTTPConnection("localhost", live_site.port, timeout=20)) as connection:
            connection.request(method, path, body, {**key, **headers})
            answer = connection.getresponse()
            answer.read()
        return answer

    metadata = "attachment " + base64.b64encode(str(attachment_id).encode()).decode()
    begin = {"Upload-Length": str(len(content)), "Upload-Metadata": metadata}
    assert ask("POST", "/api/v1/uploads", **begin).status == 201
    path = f"/api/v1/uploads/{attachment_id}"
    lines = [f"PATCH {path} HTTP/1.1", f"Host: localhost:{live_site.port}", f"Content-Type: {BYTES}"]
    lines += [f"{name}: {value}" for name, value in key.items()]
    lines += ["Upload-Offset: 0", f"Content-Length: {len(content)}", "", ""]
    with socket.create_connection(("localhost", live_site.port)) as line:
        line.sendall("\r\n".join(lines).encode() + content[:third])
    kept = wait_for(lambda: int(ask("HEAD", path).headers["Upload-Offset"]) or None)
    assert kept == third
    # Beginning again is going on: one attachment has one upload.
    assert ask("POST", "/api/v1/uploads", **begin).headers["Upload-Offset"] == str(third)
    sent = ask("PATCH", path, content[third:], **{"Upload-Offset": str(third), "Content-Type": BYTES})
    assert (sent.status, sent.headers["Upload-Offset"]) == (204, str(len(content)))


def wait_for(answer: Callable[[], int | None], seconds: float = 10) -> int | None:
    until = time.monotonic() + seconds
    while (found := answer()) is None and time.monotonic() < until:
        time.sleep(0.05)
    return found


def test_the_same_again_makes_no_double(crew: Crew) -> None:
    content = saved(drawn(), "JPEG")
    attachment_id = attached(crew.mechanic, content)
    sender = Sender(crew)
    for _ in range(2):
        sender.begin(attachment_id, len(content))
        repeated = sender.send(attachment_id, 0, content)
    # "PATCH": a wrong offset is 409; ours says where it stands.
    assert (repeated.status_code, repeated.json()["code"]) == (409, "wrong_offset")
    assert repeated.json()["offset"] == len(content)
    assert sender.ask(attachment_id)["Upload-Offset"] == str(len(content))
    with in_shop(crew.shop_id):
        assert Outbox.objects.filter(task="files.clean_picture").count() == 1
        assert UploadPart.objects.count() == 1


def test_changed_bytes_are_not_taken(crew: Crew) -> None:
    content = saved(drawn(), "JPEG")
    attachment_id = attached(crew.mechanic, content)
    sender = Sender(crew)
    sender.begin(attachment_id, len(content))
    # "Checksum": 460, and the bytes are discarded; sha1 must be known.
    for algorithm in ("sha1", "sha256"):
        checksum = f"{algorithm} {base64.b64encode(hashlib.new(algorithm, b'other').digest()).decode()}"
        refused = sender.send(attachment_id, 0, content[:500], **{"Upload-Checksum": checksum})
        assert (refused.status_code, refused.json()["code"]) == (460, "checksum_mismatch")
    assert sender.ask(attachment_id)["Upload-Offset"] == "0"
    right = base64.b64encode(hashlib.sha1(content[:500], usedforsecurity=False).digest()).decode()
    assert sender.send(attachment_id, 0, content[:500], **{"Upload-Checksum": f"sha1 {right}"}).status_code == 204
    # The whole differs from what was announced: it begins again from nothing.
    differing = sender.send(attachment_id, 500, bytes(len(content) - 500))
    assert (differing.status_code, differing.json()["code"]) == (460, "upload_differs")
    assert sender.ask(attachment_id)["Upload-Offset"] == "0"
    sender.begin(attachment_id, len(content))
    assert sender.send(attachment_id, 0, content).status_code == 204


def test_what_a_client_may_do_wrong_is_told(crew: Crew) -> None:
    content = saved(drawn(), "JPEG")
    attachment_id = attached(crew.mechanic, content)
    sender = Sender(crew)
    unknown = sender.begin(uuid7(), len(content))
    assert (unknown.status_code, unknown.json()["fields"][0]["field"]) == (404, "Upload-Metadata")
    assert sender.begin(attachment_id, len(content) + 1).json()["code"] == "length_differs"
    assert sender.begin(attachment_id, MOST_BYTES + 1).status_code == 413
    # "Core": another version is 412 with the ones that are spoken.
    other = sender.begin(attachment_id, len(content), **{"Tus-Resumable": "0.2.2"})
    assert (other.status_code, other["Tus-Version"]) == (412, "1.0.0")
    assert sender.begin(attachment_id, len(content), **{"Upload-Length": "many"}).status_code == 422
    assert sender.begin(attachment_id, len(content), **{"Upload-Metadata": "attachment ???"}).status_code == 422
    sender.begin(attachment_id, len(content))
    # "PATCH": another content type is 415.
    assert sender.send(attachment_id, 0, content, kind="image/jpeg").status_code == 415
    assert sender.send(attachment_id, 7, content[7:]).json()["offset"] == 0
    assert sender.send(attachment_id, 0, content + b"!").json()["code"] == "too_many_bytes"
    assert sender.send(attachment_id, 0, bytes(MOST_BYTES_AT_ONCE + 1)).status_code == 413
    assert sender.send(uuid7(), 0, content).status_code == 404
    assert sender.send(attachment_id, 0, content, **{"Upload-Checksum": "crc32 AAAA"}).status_code == 422
    stranger = Sender(open_crew("Another"))
    foreign = (stranger.ask(attachment_id), stranger.send(attachment_id, 0, content), stranger.begin(attachment_id, 1))
    dropped = stranger.client.delete(f"/api/v1/uploads/{attachment_id}", headers=TUS)
    assert [answer.status_code for answer in (*foreign, dropped)] == [404] * 4
    # "OPTIONS": what is spoken here.
    told = sender.client.options("/api/v1/uploads")
    assert told.status_code == 204
    assert (told["Tus-Version"], told["Tus-Max-Size"]) == ("1.0.0", str(MOST_BYTES))
    assert told["Tus-Extension"] == "creation,expiration,termination,checksum"
    assert told["Tus-Checksum-Algorithm"] == "sha1,sha256"


def test_given_up_is_gone_and_may_begin_again(crew: Crew) -> None:
    content = saved(drawn(), "JPEG")
    attachment_id = attached(crew.mechanic, content)
    sender = Sender(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content[:900])
    # "Termination": 204, and what came is gone.
    assert sender.client.delete(f"/api/v1/uploads/{attachment_id}", headers=TUS).status_code == 204
    assert sender.ask(attachment_id)["Upload-Offset"] == "0"
    sender.begin(attachment_id, len(content))
    assert sender.send(attachment_id, 0, content).status_code == 204


def test_a_whole_upload_is_not_given_up_any_more(crew: Crew) -> None:
    content = saved(drawn(), "JPEG")
    attachment_id = attached(crew.mechanic, content)
    sender = Sender(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)
    assert sender.client.delete(f"/api/v1/uploads/{attachment_id}", headers=TUS).status_code == 204
    work_off(crew)
    assert state_of(crew, attachment_id).state == "ready"


def test_nobody_waits_while_a_picture_is_made(crew: Crew, monkeypatch: pytest.MonkeyPatch) -> None:
    content = saved(drawn(), "JPEG")
    attachment_id = attached(crew.mechanic, content)
    sender = Sender(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)
    order = []
    for name in ("clean", "_keep", "lock_head"):
        real = getattr(cleaning, name)
        monkeypatch.setattr(
            cleaning, name, lambda *args, _real=real, _name=name: (order.append(_name), _real(*args))[1]
        )
    work_off(crew)
    assert order == ["clean", "_keep", "lock_head"]
    assert state_of(crew, attachment_id).state == "ready"


def test_a_picture_removed_while_it_was_made_leaves_nothing_behind(crew: Crew, monkeypatch: pytest.MonkeyPatch) -> None:
    content = saved(drawn(), "JPEG")
    attachment_id = attached(crew.mechanic, content)
    sender = Sender(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)
    keep = cleaning._keep

    def removed_first(attachment: Attachment, made: cleaning.Clean) -> None:
        do(crew.mechanic, attaching.remove_attachment, id=attachment_id)
        keep(attachment, made)

    monkeypatch.setattr(cleaning, "_keep", removed_first)
    work_off(crew)
    assert not storages["pictures"].exists(f"{crew.shop_id}/{attachment_id}/picture.jpg")


def test_stale_uploads_are_dropped_whole_ones_are_not(crew: Crew) -> None:
    content = saved(drawn(), "JPEG")
    sender = Sender(crew)
    halves, wholes = attached(crew.mechanic, content), attached(crew.mechanic, content)
    for attachment_id, most in ((halves, 700), (wholes, len(content))):
        sender.begin(attachment_id, len(content))
        sender.send(attachment_id, 0, content[:most])
    with in_shop(crew.shop_id):
        Upload.objects.update(expires_at="2026-01-01T00:00:00Z")
        assert uploading.drop_stale_uploads(actor=crew.owner) == 1
    assert sender.ask(halves)["Upload-Offset"] == "0"
    work_off(crew)
    assert state_of(crew, wholes).state == "ready"


def test_refused_picture_says_why(crew: Crew) -> None:
    content = b"<svg/>"
    attachment_id = attached(crew.mechanic, content)
    sender = Sender(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)
    assert Browser(crew.owner).get(f"attachments/{attachment_id}/picture").json()["code"] == "no_picture_yet"
    work_off(crew)
    refused = state_of(crew, attachment_id)
    assert (refused.state, refused.reason[:24]) == ("refused", "This is not a picture th")
    told = Browser(crew.owner).get(f"attachments/{attachment_id}/picture")
    assert (told.status_code, told.json()["detail"]) == (409, refused.reason)


def test_full_disk_is_told_and_tried_again(crew: Crew, monkeypatch: pytest.MonkeyPatch) -> None:
    content = saved(drawn(), "JPEG")
    attachment_id = attached(crew.mechanic, content)
    sender = Sender(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)

    def full(*_: Any, **__: Any) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(type(storages["pictures"]), "save", full)
        with pytest.raises(Exception, match="No space left on device"):
            work_off(crew)
    waits = state_of(crew, attachment_id)
    assert (waits.state, waits.reason) == ("received", "The picture could not be kept: No space left on device.")
    work_off(crew)
    assert (state_of(crew, attachment_id).state, state_of(crew, attachment_id).reason) == ("ready", "")


def test_database_without_room_keeps_nothing_of_a_part_and_says_so(crew: Crew, monkeypatch: pytest.MonkeyPatch) -> None:
    content = saved(drawn(), "JPEG")
    attachment_id = attached(crew.mechanic, content)
    sender = Sender(crew)
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


def test_removed_picture_leaves_nothing_behind(crew: Crew) -> None:
    content = saved(drawn(), "JPEG")
    attachment_id = attached(crew.mechanic, content)
    sender = Sender(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)
    work_off(crew)
    key = f"{crew.shop_id}/{attachment_id}/picture.jpg"
    assert storages["pictures"].exists(key)
    do(crew.mechanic, attaching.remove_attachment, id=attachment_id)
    work_off(crew)
    assert not storages["pictures"].exists(key)


@override_settings(UPLOAD_BYTES_A_DAY=1_000_000)
def test_a_shop_sends_so_much_a_day_and_goes_on_the_next(crew: Crew) -> None:
    content = b"x" * 600_000
    first, second = (attached(crew.mechanic, content) for _ in range(2))
    sender = Sender(crew)
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
        assert Sender(other).begin(attached(other.mechanic, content), len(content)).status_code == 201
    # Midnight at the shop (UTC-5 in May), not at the server.
    for hour, status in ((4, 429), (5, 201)):
        with held_at(datetime(2026, 5, 2, hour, 30, tzinfo=UTC)):
            assert sender.begin(second, len(content)).status_code == status


@override_settings(UPLOAD_BYTES_A_DAY=1000)
def test_what_was_thrown_away_counts_too(crew: Crew) -> None:
    attachment_id = attached(crew.mechanic, b"x" * 600)
    sender = Sender(crew)
    sender.begin(attachment_id, 600)
    assert sender.send(attachment_id, 0, b"y" * 600).status_code == 460
    assert sender.begin(attachment_id, 600).status_code == 429


@override_settings(OPEN_UPLOADS=2)
def test_a_shop_has_so_many_uploads_begun(crew: Crew) -> None:
    content = saved(drawn(), "JPEG")
    first, second, third = (attached(crew.mechanic, content) for _ in range(3))
    sender = Sender(crew)
    assert [sender.begin(one, len(content)).status_code for one in (first, second, third)] == [201, 201, 429]
    assert sender.begin(third, len(content)).json()["fields"][0]["code"] == "too_many_uploads"
    # One that was begun goes on, and one that is through makes room.
    assert sender.begin(first, len(content)).status_code == 201
    sender.send(first, 0, content)
    assert sender.begin(third, len(content)).status_code == 201


def test_a_removed_picture_is_deleted_however_long_the_storage_did_not_answer(crew: Crew) -> None:
    content = saved(drawn(), "JPEG")
    attachment_id = attached(crew.mechanic, content)
    sender = Sender(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)
    work_off(crew)
    do(crew.mechanic, attaching.remove_attachment, id=attachment_id)
    with in_shop(crew.shop_id):
        Outbox.objects.filter(task="files.forget_pictures").update(attempts=8, given_up_at="2026-05-01T10:00:00Z")
        uploading.promise_again(actor=crew.owner)
    work_off(crew)
    assert not storages["pictures"].exists(f"{crew.shop_id}/{attachment_id}/picture.jpg")


def test_pictures_may_lie_in_a_bucket(crew: Crew) -> None:
    """Against moto's S3, which answers in this process what a store of that kind would."""
    content = saved(drawn(), "JPEG")
    attachment_id = attached(crew.mechanic, content)
    sender = Sender(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)
    options = {"bucket_name": "pictures", "region_name": "us-east-1", "access_key": "key", "secret_key": "secret"}
    stores = settings.STORAGES | {"pictures": {"BACKEND": "storages.backends.s3.S3Storage", "OPTIONS": options}}
    with mock_aws(), override_settings(STORAGES=stores):
        boto3.client("s3", region_name="us-east-1").create_bucket(Bucket="pictures")
        work_off(crew)
        seen = Browser(crew.owner).get(f"attachments/{attachment_id}/picture")
        assert (seen.status_code, Image.open(BytesIO(seen.content)).size) == (200, (640, 480))
        do(crew.mechanic, attaching.remove_attachment, id=attachment_id)
        work_off(crew)
        kept = boto3.client("s3", region_name="us-east-1").list_objects_v2(Bucket="pictures")
        assert kept["KeyCount"] == 0


def test_a_bucket_that_does_not_answer_is_told_and_tried_again(crew: Crew) -> None:
    content = saved(drawn(), "JPEG")
    attachment_id = attached(crew.mechanic, content)
    sender = Sender(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)
    options = {"bucket_name": "none", "region_name": "us-east-1", "access_key": "key", "secret_key": "secret"}
    stores = settings.STORAGES | {"pictures": {"BACKEND": "storages.backends.s3.S3Storage", "OPTIONS": options}}
    with mock_aws(), override_settings(STORAGES=stores):
        with pytest.raises(Unavailable):
            work_off(crew)
        waits = state_of(crew, attachment_id)
        assert (waits.state, waits.reason[:32]) == ("received", "The picture could not be kept: A")
        boto3.client("s3", region_name="us-east-1").create_bucket(Bucket="none")
        work_off(crew)
        assert state_of(crew, attachment_id).state == "ready"
        boto3.resource("s3", region_name="us-east-1").Bucket("none").objects.all().delete()
        boto3.client("s3", region_name="us-east-1").delete_bucket(Bucket="none")
        gone = Browser(crew.owner).get(f"attachments/{attachment_id}/picture")
        assert (gone.status_code, gone.json()["code"]) == (503, "picture_gone")
