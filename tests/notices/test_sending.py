"""Notices over real servers on this machine: sent, tried again, refused, unknown."""

import base64
import json
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any
from urllib.parse import parse_qs
from uuid import UUID

import http_ece
import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from pytest_django import Settings

from shopapi.config.vapid import new_private_key, public_key_of
from shopapi.core.actor import Actor
from shopapi.core.clock import held_at, now
from shopapi.core.errors import Conflict, Invalid
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent, Outbox
from shopapi.core.rendering import show_stored
from shopapi.core.resources import resource_of
from shopapi.core.schema import to_json
from shopapi.notices import queries
from shopapi.notices.models import Notice, PushSubscription
from shopapi.notices.rules.notice import LOST_AFTER, RETRY_DELAYS, NoticeState
from shopapi.notices.services import delivery
from shopapi.notices.services.notices import note_sent_by_hand, post_notice, record_message, send_again
from shopapi.notices.services.preferences import opt_out, turn_on_push
from shopapi.notices.tasks import send_notice, tidy_notices
from shopapi.quotes.messages import MESSAGES
from tests.factories.crews import Crew, open_crew
from tests.factories.work import a_push_device, do
from tests.notices.post import Gateway, Mailbox, http_gateway, mail_server, smtp_settings

# A Tuesday, ten in the morning in Chicago: no quiet hours.
MORNING = datetime(2026, 5, 5, 15, tzinfo=UTC)
LINK = "https://shop.example/ask/K7Wm-secret"


def secret_link(actor: Actor, link_id: UUID) -> str:
    """Stands for the app that owns the links."""
    return LINK


def dead_link(actor: Actor, link_id: UUID) -> str:
    raise Conflict("link_dead", message="link_taken_back")


@pytest.fixture
def crew(db: None, settings: Settings) -> Iterator[Crew]:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.SMTP = settings.SMS = settings.VAPID = {}
    settings.NOTICE_LINKS = {"live": f"{__name__}.secret_link", "dead": f"{__name__}.dead_link"}
    with held_at(MORNING):
        yield open_crew()


@pytest.fixture
def mailbox(settings: Settings, crew: Crew) -> Iterator[Mailbox]:
    with mail_server() as box:
        settings.SMTP = smtp_settings(box.port)
        yield box


@pytest.fixture
def gateway(settings: Settings, crew: Crew) -> Iterator[Gateway]:
    with http_gateway() as gateway:
        settings.SMS = {
            "url": gateway.url,
            "method": "POST",
            "format": "json",
            "body": {"messages": [{"to": "{to}", "text": "{text}", "from": "Bench"}]},
            "headers": {"Authorization": "Bearer abc"},
        }
        yield gateway


def post(actor: Actor, **more: Any) -> Notice:
    defaults = {
        "channel": "email",
        "address": "winnie@Stroud.example",
        "name": "Winnie Stroud",
        "template": "machine_ready",
        "values": {"customer": "Winnie", "machine": "tiller", "job": "J-1001", "shop": "Bench & Bar"},
        "about": ("job", uuid7()),
        "dedupe_key": str(uuid7()),
    }
    return post_notice(actor=actor, **{**defaults, **more})


def work(actor: Actor, notice: Notice) -> Notice:
    """Run the task with the pending outbox entry."""
    row = Outbox.objects.filter(args__notice_id=str(notice.id), done_at=None).order_by("-created_at").first()
    assert row is not None
    send_notice(str(actor.shop_id), str(row.id))
    return Notice.objects.get(id=notice.id)


def test_a_mail_is_taken_once_however_often_it_is_posted_and_rung_for(crew: Crew, mailbox: Mailbox) -> None:
    notice = post(crew.owner, dedupe_key="ready:1", name="Wïnnie\r\nBcc: x@evil.example")
    assert post(crew.owner, dedupe_key="ready:1").id == notice.id
    sent = work(crew.owner, notice)
    row = Outbox.objects.get(args__notice_id=str(notice.id))
    send_notice(str(crew.shop_id), str(row.id))
    assert (sent.state, sent.tries, sent.sent_at) == (NoticeState.SENT, 1, MORNING)
    (mail,) = mailbox.taken
    assert mail["To"].addresses[0].addr_spec == "winnie@stroud.example"
    assert mail["Bcc"] is None
    assert mail["Message-ID"] == f"<notice.{notice.id}@localhost>"
    assert mail["Subject"] == "Your tiller is ready"
    assert "Your tiller (J-1001) is ready" in mail.get_content()


def test_a_dot_alone_and_long_lines_arrive_as_they_were(crew: Crew, mailbox: Mailbox) -> None:
    """RFC 5321, section 4.5.2: a leading dot is doubled on the way."""
    words = "first\n.\n..two\n" + "ä" * 2000
    work(crew.owner, post(crew.owner, template="plain", values={"words": words, "shop": "B"}))
    assert mailbox.taken[0].get_content().replace("\r", "").rstrip("\n") == words


def test_a_refusal_is_final_and_shown(crew: Crew, mailbox: Mailbox) -> None:
    mailbox.rcpt = "550 No such mailbox"
    found = work(crew.owner, post(crew.owner))
    assert found.state == NoticeState.REFUSED
    row = to_json(resource_of("notice").show(crew.owner, found))
    assert row["reason"] == "The mail server refused it: 550 No such mailbox"
    because = {"code": "mail_refused", "context": {"status": 550, "answer": "No such mailbox"}}
    assert row["because"] == because
    event = AuditEvent.objects.get(event="notice refused")
    assert event.details == {"notice": str(found.id), "reason": because}


def test_a_temporary_failure_is_tried_again_at_growing_waits_then_given_up(crew: Crew, mailbox: Mailbox) -> None:
    mailbox.data = "451 Busy"
    notice, at = post(crew.owner), MORNING
    for wait in RETRY_DELAYS:
        with held_at(at):
            notice = work(crew.owner, notice)
        assert (notice.state, notice.not_before) == (NoticeState.WAITING, at + wait)
        promised = Outbox.objects.get(args__notice_id=str(notice.id), done_at=None)
        assert promised.run_after == notice.not_before, "the sweep rings then"
        at = notice.not_before
    with held_at(at):
        notice = work(crew.owner, notice)
    assert notice.state == NoticeState.REFUSED
    assert "451 Busy" in show_stored(notice.reason)
    assert len(mailbox.taken) == 1 + len(RETRY_DELAYS)


def test_a_server_that_is_away_is_tried_again(crew: Crew, settings: Settings) -> None:
    with mail_server() as box:
        settings.SMTP = smtp_settings(box.port)
    assert work(crew.owner, post(crew.owner)).state == NoticeState.WAITING


def test_a_line_cut_after_the_text_leaves_it_unknown_and_nobody_sends_it_again_by_itself(
    crew: Crew, mailbox: Mailbox
) -> None:
    mailbox.cut = True
    notice = work(crew.owner, post(crew.owner))
    assert notice.state == NoticeState.UNKNOWN
    assert "can't tell if this was sent" in show_stored(notice.reason)
    tidy_notices()
    assert not Outbox.objects.filter(args__notice_id=str(notice.id), done_at=None).exists()
    mailbox.cut = False
    do(crew.mechanic, send_again, id=notice.id)
    assert work(crew.owner, notice).state == NoticeState.SENT
    first, second = (mail["Message-ID"] for mail in mailbox.taken)
    assert first == second, "the other side can tell that it is the same one"


def test_one_found_in_hand_of_a_dead_worker_is_unknown(crew: Crew, mailbox: Mailbox) -> None:
    notice = post(crew.owner)
    begun = delivery.begin_attempt(actor=crew.owner, notice_id=notice.id)
    assert begun is not None
    assert delivery.begin_attempt(actor=crew.owner, notice_id=notice.id) is None
    with held_at(MORNING + LOST_AFTER - timedelta(seconds=1)):
        assert delivery.mark_lost_unknown(actor=crew.owner) == 0
    with held_at(MORNING + LOST_AFTER + timedelta(seconds=1)):
        assert delivery.mark_lost_unknown(actor=crew.owner) == 1
    # It had come through after all, too late to say so.
    delivery.finish_attempt(actor=crew.owner, begun=begun, outcome=delivery.deliver(begun))
    assert Notice.objects.get(id=notice.id).state == NoticeState.UNKNOWN


def test_a_secret_link_is_in_the_mail_and_in_no_row(crew: Crew, mailbox: Mailbox) -> None:
    values = {"customer": "W", "machine": "tiller", "job": "J-1", "about": "this", "shop": "B", "total": "$5"}
    link = {"resolver": "live", "id": str(uuid7())}
    notice = post(crew.owner, template="approval_request", values={**values, "link": link})
    work(crew.owner, notice)
    assert LINK in mailbox.taken[0].get_content()
    row = queries.show_notice(crew.owner, Notice.objects.get(id=notice.id))
    assert row.has_link
    assert "{link}" in row.body
    stored = json.dumps(list(Notice.objects.values()) + list(Outbox.objects.values()), default=str)
    assert "secret" not in stored
    dead = post(crew.owner, template="approval_request", values={**values, "link": {**link, "resolver": "dead"}})
    found = work(crew.owner, dead)
    assert found.state == NoticeState.REFUSED
    assert show_stored(found.reason) == MESSAGES["link_taken_back"]
    assert len(mailbox.taken) == 1


def test_quiet_hours_hold_it_until_the_morning_unless_a_person_says_now(crew: Crew, mailbox: Mailbox) -> None:
    evening = datetime(2026, 5, 6, 1, 30, tzinfo=UTC)  # half past eight in Chicago
    with held_at(evening):
        notice = post(crew.owner)
        assert notice.not_before == datetime(2026, 5, 6, 13, tzinfo=UTC)
        assert work(crew.owner, notice).state == NoticeState.WAITING
        do(crew.mechanic, send_again, id=notice.id)
        assert work(crew.owner, notice).state == NoticeState.SENT


def test_an_address_that_opted_out_gets_nothing_not_even_what_waited(crew: Crew, mailbox: Mailbox) -> None:
    waiting = post(crew.owner)
    do(crew.mechanic, opt_out, id=uuid7(), channel="email", address="Winnie@stroud.example")
    assert post(crew.owner).state == NoticeState.WITHHELD
    assert work(crew.owner, waiting).state == NoticeState.WITHHELD
    assert mailbox.taken == []


def test_without_a_server_it_is_for_a_member_to_send(crew: Crew) -> None:
    notice = post(crew.owner)
    assert notice.state == NoticeState.BY_HAND
    assert "isn't set up" in show_stored(notice.reason)
    do(crew.mechanic, note_sent_by_hand, id=notice.id, sent_at=MORNING.isoformat())
    assert Notice.objects.get(id=notice.id).state == NoticeState.SENT


@pytest.mark.parametrize("address", ["123", "gate code 4", "+1 555 014 22100000", ""])
def test_a_number_that_is_none_is_refused_by_field(crew: Crew, address: str) -> None:
    with pytest.raises(Invalid) as refused:
        post(crew.owner, channel="by_hand", address=address)
    assert refused.value.fields[0].field == "address"
    assert Notice.objects.count() == 0


def test_a_number_belongs_to_the_country_of_the_shop(crew: Crew) -> None:
    assert post(crew.owner, channel="sms", address="(555) 014-2210").address == "+15550142210"
    args = {"address": "555 014 2210", "body": "{link} as typed", "about_kind": "job", "about_id": uuid7()}
    sent = do(crew.mechanic, record_message, id=uuid7(), sent_at=MORNING.isoformat(), **args)
    assert (sent.address, queries.show_notice(crew.mechanic, sent).body) == ("+15550142210", "{link} as typed")


def test_a_text_message_goes_as_the_settings_say(crew: Crew, gateway: Gateway, settings: Settings) -> None:
    text = '{to} "quoted" \n ünï'
    values = {"words": text, "shop": "B"}
    args = {"channel": "sms", "address": "555-014-2210", "template": "plain", "values": values}
    assert work(crew.owner, post(crew.owner, **args)).state == NoticeState.SENT
    path, headers, body = gateway.asked[0]
    assert (path, headers["authorization"]) == ("/send", "Bearer abc")
    assert json.loads(body) == {"messages": [{"to": "+15550142210", "text": text, "from": "Bench"}]}
    settings.SMS = {**settings.SMS, "format": "form", "body": {"To": "{to}", "Body": "Shop: {text}"}}
    assert work(crew.owner, post(crew.owner, **args)).state == NoticeState.SENT
    assert parse_qs(gateway.asked[1][2].decode()) == {"To": ["+15550142210"], "Body": [f"Shop: {text}"]}


@pytest.mark.parametrize(
    ("status", "state"),
    [
        (201, "sent"),
        (400, "refused"),
        (429, "waiting"),
        (503, "waiting"),
        (302, "refused"),
        (500, "unknown"),
        (0, "unknown"),
    ],
)
def test_what_the_gateway_answers_decides(crew: Crew, gateway: Gateway, status: int, state: str) -> None:
    gateway.status, gateway.headers = status, {"Location": gateway.url.replace("/send", "/elsewhere")}
    assert work(crew.owner, post(crew.owner, channel="sms", address="555-014-2210")).state == state
    assert [path for path, _, _ in gateway.asked] == ["/send"], "no redirect is followed, nothing is sent twice"


def test_a_gateway_that_is_away_is_tried_again(crew: Crew, settings: Settings) -> None:
    with http_gateway() as gone:
        settings.SMS = {"url": gone.url, "method": "POST", "format": "json", "body": {"t": "{to}{text}"}, "headers": {}}
    assert work(crew.owner, post(crew.owner, channel="sms", address="555-014-2210")).state == NoticeState.WAITING


# Web Push


def text(raw: bytes) -> str:
    return base64.urlsafe_b64encode(raw).decode().rstrip("=")


def raw(value: str) -> bytes:
    return base64.urlsafe_b64decode(value + "=" * (-len(value) % 4))


def test_encryption_gives_the_example_of_rfc_8291_byte_for_byte() -> None:
    """RFC 8291, section 5 and appendix A, by the library that push messages are encrypted with."""
    number = int.from_bytes(raw("yfWPiYE-n46HLnH0KqZOF1fJJU3MYrct3AELtAQ-oRw"), "big")
    body = http_ece.encrypt(
        b"When I grow up, I want to be a watermelon",
        salt=raw("DGv6ra1nlYgDCS1FRnbzlw"),
        private_key=ec.derive_private_key(number, ec.SECP256R1()),
        dh=raw("BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4"),
        auth_secret=raw("BTBZMqHH6r4Tts7J_aSIgg"),
        version="aes128gcm",
    )
    assert text(body) == (
        "DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3"
        "jl7A_yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qulcy4a-fN"
    )


@pytest.fixture
def pushing(settings: Settings, crew: Crew) -> Iterator[Gateway]:
    with http_gateway() as service:
        service.status = 201
        key = new_private_key()
        settings.VAPID = {"private": key, "public": public_key_of(key), "subject": "mailto:shop@bench.example"}
        settings.PUSH_LOOPBACK = True
        yield service


def on(actor: Actor, endpoint: str) -> ec.EllipticCurvePrivateKey:
    """A device that shows push messages, and its key."""
    key = ec.generate_private_key(ec.SECP256R1())
    point = key.public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)
    do(actor, turn_on_push, id=uuid7(), endpoint=endpoint, p256dh=text(point), auth=text(b"0" * 16))
    return key


def push_to(actor: Actor, member: Actor) -> Notice:
    values = {"since": "8:05 AM", "work": "J-1042"}
    return post(actor, channel="push", address=str(member.member_id), template="clock_running", values=values)


def test_a_push_is_encrypted_for_the_device_signed_and_may_wait_a_day(crew: Crew, pushing: Gateway) -> None:
    key = on(crew.mechanic, pushing.url)
    assert work(crew.owner, push_to(crew.owner, crew.mechanic)).state == NoticeState.SENT
    _, headers, body = pushing.asked[0]
    payload = json.loads(http_ece.decrypt(body, private_key=key, auth_secret=b"0" * 16, version="aes128gcm"))
    assert (payload["title"], payload["about_kind"]) == ("Your clock is still running", "job")
    # RFC 8030, section 5.2: TTL must be there. RFC 8292, section 3: the signature's token and the public key.
    assert (headers["ttl"], headers["content-encoding"]) == ("86400", "aes128gcm")
    assert headers["authorization"].startswith("vapid t=")


@pytest.mark.parametrize("status", [404, 410])
def test_a_device_that_is_gone_is_forgotten(crew: Crew, pushing: Gateway, status: int) -> None:
    on(crew.mechanic, pushing.url)
    pushing.status = status
    assert work(crew.owner, push_to(crew.owner, crew.mechanic)).state == NoticeState.REFUSED
    assert not PushSubscription.objects.exists()


@pytest.mark.parametrize(
    "endpoint",
    [
        "http://fcm.googleapis.com/x",
        "https://127.0.0.1/x",
        "https://localhost/x",
        "https://fcm.googleapis.com:8443/x",
        "https://fcm.googleapis.com@evil.example/x",
        "https://u@fcm.googleapis.com/x",
        "https://evilfcm.googleapis.com.evil.example/x",
        "https://notify.windows.com.evil.example/x",
        "https://[::1]/x",
        "https://fcm.googleapis.com\\@evil.example/x",
        "ftp://fcm.googleapis.com/x",
        "x",
    ],
)
def test_push_messages_go_to_known_push_services_alone(crew: Crew, endpoint: str) -> None:
    with pytest.raises(Invalid) as refused:
        on(crew.mechanic, endpoint)
    assert refused.value.fields[0].field == "endpoint"


def test_a_known_push_service_is_taken(crew: Crew) -> None:
    a_push_device(crew.mechanic)
    on(crew.owner, "https://db5p.notify.windows.com/w/?token=x")
    assert PushSubscription.objects.count() == 2
    assert now() == MORNING
