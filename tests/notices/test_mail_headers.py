"""Whatever people type, a mail has the headers that were meant and goes to the one address that was meant.

Each text goes through a real SMTP server of this machine and is read back by the email package. What encoded words,
display names and line ends are: RFC 2047, RFC 5322 and RFC 5321 (from memory), Unicode's line separators: UAX #14.
"""

import re
from collections.abc import Iterator
from email.header import decode_header, make_header
from typing import Any

import pytest
from pytest_django import Settings

from shopapi.accounts.rules import FirstShop
from shopapi.core.errors import Invalid
from shopapi.core.ids import uuid7
from shopapi.core.models import Outbox
from shopapi.core.schema import parse
from shopapi.customers.rules.address_csv import read_csv
from shopapi.customers.rules.customer import NewCustomer
from shopapi.notices.models import Notice
from shopapi.notices.rules.address import plain_address
from shopapi.notices.rules.notice import Channel, NoticeState
from shopapi.notices.services.notices import post_notice
from shopapi.notices.tasks import send_notice
from tests.factories.crews import Crew, open_crew
from tests.notices.post import Mailbox, mail_server, smtp_settings

HEADERS = [
    "From",
    "To",
    "Subject",
    "Date",
    "Message-ID",
    "Auto-Submitted",
    "MIME-Version",
    "Content-Type",
    "Content-Transfer-Encoding",
]
TYPED = {
    "an encoded word (Q) with a header behind it": "=?utf-8?q?=0D=0ABcc:=20mole=40evil.example?=",
    "an encoded word (B) with a header behind it": "=?utf-8?b?DQpCY2M6IG1vbGVAZXZpbC5leGFtcGxl?=",
    "the same in another character set": "=?iso-8859-1?Q?=0D=0ABcc:_mole=40evil.example?= tiller",
    "the same with a language (RFC 2231)": "=?us-ascii*en?Q?=0D=0ABcc:_mole=40evil.example?=",
    "an encoded word in an encoded word": "=?utf-8?q?=3D=3Futf-8=3Fq=3F=3D0D=3D0ABcc=3A=20a=40b.c=3F=3D?=",
    "two encoded words": "=?utf-8?q?=0D?= =?utf-8?q?=0ABcc:=20mole=40evil.example?=",
    "an encoded word that does not end": "=?utf-8?q?=0D=0ABcc: mole@evil.example",
    "a character set that is none": "=?x-none?q?=0D=0ABcc:=20mole=40evil.example?=",
    "an encoded end of the headers": "=?utf-8?q?=0D=0A=0D=0AClick_here?=",
    "CR LF": "tiller\r\nBcc: mole@evil.example",
    "folded": "tiller\r\n Bcc: mole@evil.example",
    "LF": "tiller\nBcc: mole@evil.example",
    "CR": "tiller\rBcc: mole@evil.example",
    "the end of the headers": "tiller\r\n\r\nClick here",
    "NEL": "tiller\x85Bcc: mole@evil.example",
    "line separator": "tiller\u2028Bcc: mole@evil.example",
    "paragraph separator": "tiller\u2029Bcc: mole@evil.example",
    "vertical tab, form feed, file separator": "a\x0bBcc: b\x0cBcc: c\x1cBcc: d",
    "escape and backspace": "a\x1b[2Jb\x08c\x7f",
    "comma": "Stroud, Winnie",
    "another recipient": "Winnie, mole@evil.example",
    "a group": "Friends: mole@evil.example;",
    "angle brackets": "Winnie <mole@evil.example>",
    "a quotation mark": 'Winnie "Win" Stroud\\" <mole@evil.example>',
    "a comment": "Winnie (mole@evil.example) Stroud",
    "one word as long as can be": "n" * 120,
    "many words": "tiller " * 16,
    "not ASCII, long": "Größe 12½ — 🚜 " * 8,
    "right to left": "\u202emole\u202c",
    "dots": ".\r\n.",
    "nothing but a space": " ",
}


@pytest.fixture
def crew(db: None, settings: Settings) -> Crew:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    return open_crew()


@pytest.fixture
def mailbox(settings: Settings, crew: Crew) -> Iterator[Mailbox]:
    with mail_server() as box:
        settings.SMTP = smtp_settings(box.port)
        yield box


def send(crew: Crew, **more: Any) -> Notice:
    args: dict[str, Any] = {
        "channel": "email",
        "address": "winnie@stroud.example",
        "name": "Winnie Stroud",
        "template": "machine_ready",
        "values": {"customer": "Winnie", "machine": "tiller", "job": "J-1", "shop": "Bench & Bar"},
        "about": ("job", uuid7()),
        "dedupe_key": str(uuid7()),
        **more,
    }
    notice = post_notice(actor=crew.owner, **args)
    Notice.objects.filter(id=notice.id).update(not_before=notice.created_at)
    row = Outbox.objects.get(args__notice_id=str(notice.id), done_at=None)
    send_notice(str(crew.shop_id), str(row.id))
    return Notice.objects.get(id=notice.id)


def on_one_line(text: str) -> str:
    """What a reader should see of it: line ends and control characters are spaces."""
    return re.sub(r"[\s\x00-\x1f\x7f-\x9f\u2028\u2029]+", " ", text).strip()


def read(header: str) -> str:
    """The words of a header as it travelled, encoded words joined as RFC 2047, section 6.2 says."""
    return str(make_header(decode_header(header)))


@pytest.mark.parametrize("what", TYPED)
def test_what_is_typed_is_words_and_nothing_else(crew: Crew, mailbox: Mailbox, what: str) -> None:
    typed = TYPED[what]
    values = {"customer": "Winnie", "machine": typed, "job": "J-1", "shop": typed}
    assert send(crew, name=typed, values=values).state == NoticeState.SENT
    (mail,), (envelope,) = mailbox.taken, mailbox.envelopes
    assert (envelope.mail_from, envelope.rcpt_tos) == ("shop@bench.example", ["winnie@stroud.example"])
    assert sorted(mail.keys()) == sorted(HEADERS)
    assert [one.addr_spec for one in mail["To"].addresses] == ["winnie@stroud.example"]
    assert [one.addr_spec for one in mail["From"].addresses] == ["shop@bench.example"]
    assert not mail.get_content().startswith("Click here")
    raw = dict(mail.raw_items())
    assert on_one_line(read(raw["Subject"])) == on_one_line(f"Your {typed} is ready")
    shown, _, address = read(raw["To"]).rpartition("winnie@stroud.example")
    assert (on_one_line(shown.removesuffix("<")), address) == (on_one_line(typed), ">" if on_one_line(typed) else "")
    content = envelope.content
    assert isinstance(content, bytes)
    head, _, _ = content.partition(b"\r\n\r\n")
    # RFC 5322, section 2.1.1.
    assert max(map(len, head.split(b"\r\n"))) <= 998


@pytest.mark.parametrize(
    ("address", "goes_to"),
    [
        ("Win.Stroud+mower@Stroud.EXAMPLE", "Win.Stroud+mower@stroud.example"),
        ("o'neil@stroud.example", "o'neil@stroud.example"),
        # RFC 3492 as browsers show it (from memory).
        ("winnie@bücher.example", "winnie@xn--bcher-kva.example"),
        ("winnie@faß.example", "winnie@xn--fa-hia.example"),
        ("winnie@例え.テスト", "winnie@xn--r8jz45g.xn--zckzah"),
    ],
)
def test_an_address_goes_to_itself(crew: Crew, mailbox: Mailbox, address: str, goes_to: str) -> None:
    assert send(crew, address=address).state == NoticeState.SENT
    assert mailbox.envelopes[0].rcpt_tos == [goes_to]
    assert [one.addr_spec for one in mailbox.taken[0]["To"].addresses] == [goes_to]


@pytest.mark.parametrize(
    "address",
    [
        '"a b"@stroud.example',
        '"a@evil.example, b"@stroud.example',
        "winnie@stroud.example, mole@evil.example",
        "winnie@stroud.example\r\nRCPT TO:<mole@evil.example>",
        "winnie@stroud.example\nDATA",
        "winnie@stroud.example>\x00",
        "<winnie@stroud.example>",
        "Winnie <winnie@stroud.example>",
        "=?utf-8?q?=0D=0ABcc?=@stroud.example",
        "winnie@mole@stroud.example",
        ".winnie@stroud.example",
        "win..nie@stroud.example",
        "winnie.@stroud.example",
        "größe@stroud.example",
        "winnie@[127.0.0.1]",
        "winnie@stroud",
        "winnie@bü\u2028cher.example",
        "winnie@" + "ü" * 70 + ".example",
        "w" * 65 + "@stroud.example",
    ],
)
def test_an_address_that_is_none_is_refused(address: str) -> None:
    with pytest.raises(Invalid) as refused:
        plain_address(Channel.EMAIL, address, region=None)
    assert [fault.field for fault in refused.value.fields] == ["address"]


@pytest.mark.parametrize("end", ["\r\n", "\n", "\r", "\x0b", "\x0c", "\x1d", "\x85", "\u2028", "\u2029"])
def test_a_customers_address_ends_no_line(end: str) -> None:
    typed = f"winnie@stroud.example{end}Bcc: mole@evil.example"
    with pytest.raises(Invalid) as refused:
        parse(NewCustomer, {"id": str(uuid7()), "name": "Winnie", "email": typed})
    assert [(fault.field, fault.code) for fault in refused.value.fields] == [("email", "control_characters")]
    start = {
        "shop_name": "B",
        "zone": "UTC",
        "name": "Ada",
        "email": f"ada{end}x@b.example",
        "password": "a long password",
    }
    with pytest.raises(Invalid) as refused:
        parse(FirstShop, start)
    assert [fault.field for fault in refused.value.fields] == ["email"]
    (card,) = read_csv(f'Name,Email\nWinnie,"{typed}"\n'.encode()).cards
    assert [(fault.field, fault.code) for fault in card.faults] == [("email", "line_break")]
