"""Mail by SMTP (RFC 5321), step by step, so that it is known how far a broken talk had come.

Until the text has been sent the server has promised nothing, and it may be tried again; from then until its answer
it cannot be known. What comes back as a mail to the sender (a delivery report, RFC 3464) is not read here.
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
# Headers are kept as they are given. The policy for Unicode headers (`email.policy.SMTP`) would decode what looks like
# an encoded word (RFC 2047) in a name that somebody typed, and write a line break out of it as the end of the header.
POLICY = compat32.clone(linesep="\r\n", cte_type="7bit", max_line_length=76)
# What a header may hold as it stands: short, printable ASCII, nothing that reads as an encoded word.
LITERAL = re.compile(r"(?!.*=\?)[ -~]{0,200}")
# In a display name punctuation means something (RFC 5322, section 3.2.3), so only these stand there as they are.
LITERAL_NAME = re.compile(r"[A-Za-z0-9 !#$%&'*+/=?^_`{|}~-]{0,200}")
UNPRINTABLE = re.compile(r"[\s\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]+")


def message_of(outbound: OutboundMessage, sender: str, host: str) -> EmailMessage:
    """The mail. Its Message-ID is the same however often the notice is sent."""
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
    """A text on one line: white space, line ends of every kind and control characters become one space."""
    return UNPRINTABLE.sub(" ", text).strip()


def _header(name: str, text: str) -> Header:
    """A text as a header that reads as exactly that text, whatever it looks like."""
    text = _line(text)
    return Header(text, "us-ascii" if LITERAL.fullmatch(text) else "utf-8", header_name=name)


def _mailbox(header: str, name: str, address: str) -> Header:
    """One mailbox: a display name that reads as typed, and the address."""
    name = _line(name)
    literal = LITERAL.fullmatch(name) and LITERAL_NAME.fullmatch(name)
    mailbox = Header(name, "us-ascii" if literal else "utf-8", header_name=header)
    mailbox.append(f"<{address}>" if name else address, "us-ascii")
    return mailbox


def deliver(outbound: OutboundMessage) -> DeliveryResult:
    """Hand one mail to the server of the settings."""
    # Made first: whatever is wrong with it is found before anybody is called.
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
        # The mail is taken or not by now: a goodbye that fails changes nothing.
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
    # A line that is a dot alone would end the mail (RFC 5321, section 4.5.2).
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
