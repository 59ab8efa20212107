"""Mail by SMTP (RFC 5321), command by command, so that it is known at which step a connection broke.

Before the text has been sent an attempt may be repeated; between the text and the server's reply the result is
unknown. Delivery reports that arrive as mail to the sender (RFC 3464) are not read.
"""

import re
import smtplib
import ssl
from collections.abc import Callable
from contextlib import suppress
from email.contentmanager import raw_data_manager
from email.header import Header
from email.message import EmailMessage
from email.policy import compat32
from email.utils import format_datetime, parseaddr
from urllib.parse import urlsplit

from django.conf import settings

from shopapi.core.clock import now
from shopapi.core.errors import Context, Reason
from shopapi.notices.rules.notice import NOT_KNOWN, DeliveryResult, DeliveryStatus
from shopapi.notices.services.transports import OutboundMessage

SECONDS = 20
GO_ON = 354
# `compat32` leaves headers unchanged. The policy for Unicode headers (`email.policy.SMTP`) would decode what looks like
# an encoded word (RFC 2047) in a typed name, and write a line break in it as the end of the header.
POLICY = compat32.clone(linesep="\r\n", cte_type="7bit", max_line_length=76)
# Texts that need no encoding in a header: short, printable ASCII, nothing that reads as an encoded word.
LITERAL = re.compile(r"(?!.*=\?)[ -~]{0,200}")
# Punctuation has a meaning in a display name (RFC 5322, section 3.2.3), so only these need no encoding there.
LITERAL_NAME = re.compile(r"[A-Za-z0-9 !#$%&'*+/=?^_`{|}~-]{0,200}")
UNPRINTABLE = re.compile(r"[\s\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]+")


def message_of(outbound: OutboundMessage, sender: str, host: str) -> EmailMessage:
    """The mail of an outbound message. Every attempt of one notice has the same Message-ID."""
    message = EmailMessage(policy=POLICY)
    message["From"] = _mailbox("From", *parseaddr(sender))
    message["To"] = _mailbox("To", outbound.name, outbound.address)
    message["Subject"] = _header("Subject", outbound.subject)
    message["Date"] = format_datetime(now())
    message["Message-ID"] = f"<notice.{outbound.notice_id}@{host}>"
    message["Auto-Submitted"] = "auto-generated"
    message.set_content(outbound.body, content_manager=raw_data_manager)
    return message


def _line(text: str) -> str:
    """A text on one line: runs of white space, line ends and control characters become one space."""
    return UNPRINTABLE.sub(" ", text).strip()


def _header(name: str, text: str) -> Header:
    """A header that is displayed as exactly this text, encoded where necessary."""
    text = _line(text)
    return Header(text, "us-ascii" if LITERAL.fullmatch(text) else "utf-8", header_name=name)


def _mailbox(header: str, name: str, address: str) -> Header:
    """A mailbox: a display name that is shown as typed, and the address."""
    name = _line(name)
    literal = LITERAL.fullmatch(name) and LITERAL_NAME.fullmatch(name)
    mailbox = Header(name, "us-ascii" if literal else "utf-8", header_name=header)
    mailbox.append(f"<{address}>" if name else address, "us-ascii")
    return mailbox


def deliver(outbound: OutboundMessage) -> DeliveryResult:
    """Send one mail to the SMTP server of the settings."""
    # Built before connecting, so that errors in it are found first.
    host = urlsplit(settings.ORIGIN).hostname or "localhost"
    content = message_of(outbound, settings.SMTP["sender"], host).as_bytes()
    try:
        server = _connection()
    except smtplib.SMTPAuthenticationError:
        return DeliveryResult(DeliveryStatus.LATER, Reason("mail_sign_in_refused"))
    except (OSError, smtplib.SMTPException) as error:
        return _not_reached(error)
    try:
        outcome = _smtp_reply(server, outbound.address, content)
    except (OSError, smtplib.SMTPException) as error:
        return _not_reached(error)
    else:
        # The result is known by now; a failing QUIT does not change it.
        with suppress(OSError, smtplib.SMTPException):
            server.quit()
        return outcome
    finally:
        server.close()


def _connection() -> smtplib.SMTP:
    given = settings.SMTP
    context = ssl.create_default_context()
    if given["tls"] == "always":
        server: smtplib.SMTP = smtplib.SMTP_SSL(given["host"], given["port"], timeout=SECONDS, context=context)
    else:
        server = smtplib.SMTP(given["host"], given["port"], timeout=SECONDS)
    try:
        server.ehlo_or_helo_if_needed()
        if given["tls"] == "start":
            server.starttls(context=context)
            server.ehlo()
        if given["user"]:
            server.login(given["user"], given["password"])
    except BaseException:
        server.close()
        raise
    return server


def _smtp_reply(server: smtplib.SMTP, address: str, content: bytes) -> DeliveryResult:
    sender = settings.SMTP["address"]
    steps: tuple[Callable[[], tuple[int, bytes]], ...] = (
        lambda: server.mail(sender),
        lambda: server.rcpt(address),
        lambda: server.docmd("DATA"),
    )
    for step in steps:
        code, answer = step()
        if code != GO_ON and code // 100 != 2:
            return _result_of_reply(code, answer)
    # A line that is a single dot would end the mail (RFC 5321, section 4.5.2).
    stuffed = re.sub(rb"(?m)^\.", b"..", content)
    try:
        server.send(stuffed + b".\r\n")
        code, answer = server.getreply()
    except (OSError, smtplib.SMTPServerDisconnected):
        return DeliveryResult(DeliveryStatus.UNKNOWN, NOT_KNOWN)
    return DeliveryResult(DeliveryStatus.SENT) if code // 100 == 2 else _result_of_reply(code, answer)


def _result_of_reply(code: int, answer: bytes) -> DeliveryResult:
    context: Context = {"status": code, "answer": _line(answer.decode("utf-8", "replace"))[:300]}
    if code // 100 == 5:
        return DeliveryResult(DeliveryStatus.REFUSED, Reason("mail_refused", context))
    return DeliveryResult(DeliveryStatus.LATER, Reason("mail_later", context))


def _not_reached(error: Exception) -> DeliveryResult:
    return DeliveryResult(DeliveryStatus.LATER, Reason("mail_unreachable", {"error": type(error).__name__}))
