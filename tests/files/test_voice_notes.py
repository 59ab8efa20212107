"""Voice notes: what is kept, what is refused and why, how it is served.

The two recordings are Chromium's own (`fixtures/voice_notes`): its tone of a test microphone through MediaRecorder.
"""

from pathlib import Path
from typing import get_args
from uuid import UUID

import pytest
from django.core.files.storage import storages

from shopapi.core.errors import Invalid, unpack
from shopapi.core.rendering import render
from shopapi.core.tenancy import in_shop
from shopapi.files.models import Attachment
from shopapi.files.queries import pictures_about, voice_key
from shopapi.files.rules.voice_notes import (
    MAX_VOICE_BYTES,
    VoiceFault,
    VoiceRefused,
    read_voice_note,
)
from shopapi.files.services import attachments
from tests.factories.crews import Browser, Crew, open_crew
from tests.factories.work import do
from tests.files.sample_pictures import encode, sample_image
from tests.files.test_uploads import TusClient, attachment_of, create_attachment, run_outbox

RECORDED = {path.suffix[1:]: path.read_bytes() for path in Path("fixtures/voice_notes").glob("chromium.*")}
SCRIPT = b"<script>alert(1)</script>"
DRAWING = b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>'


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def element(element_id: int, content: bytes) -> bytes:
    """An element of EBML (RFC 8794, section 6): id, size in 8 bytes, content."""
    size = (1 << 56 | len(content)).to_bytes(8, "big")
    return element_id.to_bytes((element_id.bit_length() + 7) // 8, "big") + size + content


def webm(*, track: int = 2, doc_type: bytes = b"webm", times: tuple[int, ...] = (0, 2000), blocks: int = 1) -> bytes:
    """A WebM with a cluster per time in ms, each with its blocks (ids of RFC 9559, section 5)."""
    head = element(0x1A45DFA3, element(0x4282, doc_type))
    tracks = element(0x1654AE6B, element(0xAE, element(0xD7, b"\1") + element(0x83, bytes([track]))))
    block = element(0xA3, b"\x81\x00\x00\x80sound")
    clusters = [element(0x1F43B675, element(0xE7, time.to_bytes(4, "big")) + block * blocks) for time in times]
    return head + element(0x18538067, tracks + b"".join(clusters))


def box(kind: bytes, content: bytes) -> bytes:
    return (len(content) + 8).to_bytes(4, "big") + kind + content


def mp4(*, handler: bytes = b"soun", seconds: int = 3, samples: bytes = b"sound") -> bytes:
    """An MP4 in one piece, as ISO/IEC 14496-12 has it: 1000 ticks a second."""
    mdhd = bytes(12) + (1000).to_bytes(4, "big") + (seconds * 1000).to_bytes(4, "big") + bytes(4)
    media = box(b"mdhd", mdhd) + box(b"hdlr", bytes(8) + handler + bytes(12))
    return box(b"ftyp", b"mp42" + bytes(4)) + box(b"moov", box(b"trak", box(b"mdia", media))) + box(b"mdat", samples)


@pytest.mark.parametrize("container", ["webm", "mp4"])
def test_what_a_browser_recorded_is_kept_with_its_length(container: str) -> None:
    sound = read_voice_note(RECORDED[container])
    assert (sound.container, sound.media_type) == (container, f"audio/{container}")
    # Stopped by hand after 2.6 s; the recorder needs a moment to begin.
    assert 2.3 < sound.seconds < 2.7


@pytest.mark.parametrize("container", ["webm", "mp4"])
def test_a_recording_that_was_cut_off_is_kept_as_far_as_it_goes(container: str) -> None:
    assert 0 < read_voice_note(RECORDED[container][: len(RECORDED[container]) * 2 // 3]).seconds < 2.7


def test_lengths_are_those_written_into_the_containers() -> None:
    assert read_voice_note(webm(times=(0, 61_000))).seconds == 61
    assert read_voice_note(mp4(seconds=179)).seconds == 179


REFUSED: dict[str, tuple[bytes, VoiceFault]] = {
    "nothing": (b"", "no_voice_note"),
    "a page": (b"<!doctype html>" + SCRIPT, "no_voice_note"),
    "a drawing": (DRAWING, "no_voice_note"),
    "a picture": (encode(sample_image(), "JPEG"), "no_voice_note"),
    "a page behind the first bytes of a WebM": (b"\x1a\x45\xdf\xa3" + SCRIPT, "no_voice_note"),
    "a page behind the first bytes of an MP4": (b"    ftyp" + SCRIPT, "no_voice_note"),
    "a page behind a whole WebM": (RECORDED["webm"] + b"\n" + SCRIPT, "no_voice_note"),
    "Matroska": (webm(doc_type=b"matroska"), "no_voice_note"),
    "a WebM without sound in it": (webm(blocks=0), "no_voice_note"),
    "an MP4 without sound in it": (mp4(samples=b""), "no_voice_note"),
    "a WebM of pictures": (webm(track=1), "not_only_sound"),
    "an MP4 of pictures": (mp4(handler=b"vide"), "not_only_sound"),
    "four minutes of WebM": (webm(times=(0, 240_000)), "voice_too_long"),
    "four minutes of MP4": (mp4(seconds=240), "voice_too_long"),
    "too many bytes": (RECORDED["webm"] + bytes(MAX_VOICE_BYTES), "voice_too_large"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_no_voice_note_is_refused_with_its_code(name: str) -> None:
    content, code = REFUSED[name]
    with pytest.raises(VoiceRefused) as refused:
        read_voice_note(content)
    assert refused.value.code == code
    assert code in get_args(VoiceFault)


def test_no_bytes_make_the_check_fail_or_hang() -> None:
    for recorded in RECORDED.values():
        for at in range(min(len(recorded), 800)):
            for byte in (0, 1, 0x7F, 0xFF):
                try:
                    read_voice_note(recorded[:at] + bytes([byte]) + recorded[at + 1 :])
                except VoiceRefused:
                    continue


def send(crew: Crew, content: bytes, media: str = "voice") -> UUID:
    attachment_id = create_attachment(crew.mechanic, content, media=media, seconds=3 if media == "voice" else None)
    sender = TusClient(crew)
    sender.begin(attachment_id, len(content))
    sender.send(attachment_id, 0, content)
    run_outbox(crew)
    return attachment_id


@pytest.mark.parametrize("container", ["webm", "mp4"])
def test_a_voice_note_is_served_as_recorded_to_its_shop_only(crew: Crew, container: str) -> None:
    content = RECORDED[container]
    attachment_id = send(crew, content)
    kept = attachment_of(crew, attachment_id)
    assert (kept.state, kept.media, kept.width) == ("ready", "voice", None)
    assert kept.seconds in {2, 3}
    heard = Browser(crew.office).get(f"attachments/{attachment_id}/voice")
    assert (heard.status_code, heard.content) == (200, content)
    # The type is what the bytes are; a browser must not guess another, nor show it as a page.
    assert heard["Content-Type"] == f"audio/{container}"
    assert heard["X-Content-Type-Options"] == "nosniff"
    assert heard["Content-Disposition"] == f'attachment; filename="voice-note-{attachment_id}.{container}"'
    assert heard["Cache-Control"] == "private, no-store"
    assert "sandbox" in heard["Content-Security-Policy"]
    for path in ("picture", "thumbnail"):
        assert Browser(crew.office).get(f"attachments/{attachment_id}/{path}").status_code == 404
    assert Browser(open_crew("other").owner).get(f"attachments/{attachment_id}/voice").status_code == 404
    assert Browser().get(f"attachments/{attachment_id}/voice").status_code == 401
    with in_shop(crew.shop_id):
        assert not pictures_about(crew.owner, kept.about_kind, [kept.about_id]).exists()


@pytest.mark.parametrize(("content", "media"), [(SCRIPT, "voice"), (DRAWING, "voice"), (RECORDED["webm"], "picture")])
def test_what_claims_to_be_something_else_is_refused_with_its_reason(crew: Crew, content: bytes, media: str) -> None:
    attachment_id = send(crew, content, media)
    refused = attachment_of(crew, attachment_id)
    assert refused.state == "refused"
    said = render(unpack(refused.reason))
    assert said.startswith("This isn't a sound recording" if media == "voice" else "Can't read this photo")
    answer = Browser(crew.office).get(f"attachments/{attachment_id}/{'voice' if media == 'voice' else 'picture'}")
    assert (answer.status_code, answer.json()["code"]) == (409, "picture_refused")


def test_a_picture_has_no_voice(crew: Crew) -> None:
    attachment_id = send(crew, encode(sample_image(), "JPEG"), "picture")
    assert Browser(crew.office).get(f"attachments/{attachment_id}/voice").status_code == 404


def test_a_removed_voice_note_is_deleted_from_the_storage(crew: Crew) -> None:
    attachment_id = send(crew, RECORDED["webm"])
    key = voice_key(attachment_of(crew, attachment_id))
    assert storages["pictures"].exists(key)
    do(crew.mechanic, attachments.remove_attachment, id=attachment_id)
    run_outbox(crew)
    assert not storages["pictures"].exists(key)
    with in_shop(crew.shop_id):
        assert not Attachment.objects.filter(id=attachment_id).exists()


@pytest.mark.parametrize(("field", "value"), [("media", "video"), ("seconds", 100_000), ("seconds", -1)])
def test_ill_formed_voice_notes_are_refused(crew: Crew, field: str, value: object) -> None:
    with pytest.raises(Invalid):
        create_attachment(crew.mechanic, b"x", **{field: value})
