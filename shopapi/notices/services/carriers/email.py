"""Mail by SMTP (RFC 5321), step by step, so that it is known how far a broken talk had come.

Until the text has been sent the server has promised nothing, and it may be tried again; from then until its answer
it cannot be known. What comes back as a mail to the sender (a delivery report, RFC 3464) is not read here.
"""

import re
import smtplib
import ssl
from collections.abc import Callable
from contextlib import suppress
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime
from urllib.parse import urlsplit

from django.conf import settings

from shopapi.core.clock import now
from shopapi.notices.rules.notice import UNKNOWN_WORDS, Fate, Outcome
from shopapi.notices.services.carriers import Parcel

SECONDS = 20
GO_ON = 354


def message_of(parcel: Parcel, sender: str, host: str) -> EmailMessage:
    """The mail. Its Message-ID is the same however often the notice is sent."""
    message = EmailMessage(policy=SMTP.clone(cte_type="7bit"))
    message["From"] = sender
    user, _, domain = parcel.address.rpartition("@")
    message["To"] = Address(display_name=_line(parcel.name), username=user, domain=domain)
    message["Subject"] = _line(parcel.subject)
    message["Date"] = format_datetime(now())
    message["Message-ID"] = f"<notice.{parcel.notice_id}@{host}>"
    message["Auto-Submitted"] = "auto-generated"
    message.set_content(parcel.body)
    return message


def _line(text: str) -> str:
    return " ".join(text.split())


def deliver(parcel: Parcel) -> Outcome:
    """Hand one mail to the server of the settings."""
    # Made first: whatever is wrong with it is found before anybody is called.
    host = urlsplit(settings.ORIGIN).hostname or "localhost"
    content = message_of(parcel, settings.SMTP["sender"], host).as_bytes()
    try:
        server = _connection()
    except smtplib.SMTPAuthenticationError:
        return Outcome(Fate.LATER, "The mail server does not accept this server's sign-in.")
    except (OSError, smtplib.SMTPException) as error:
        return _not_reached(error)
    try:
        outcome = _talk(server, parcel.address, content)
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


def _talk(server: smtplib.SMTP, address: str, content: bytes) -> Outcome:
    sender = settings.SMTP["address"]
    steps: tuple[Callable[[], tuple[int, bytes]], ...] = (
        lambda: server.mail(sender),
        lambda: server.rcpt(address),
        lambda: server.docmd("DATA"),
    )
    for step in steps:
        code, told = step()
        if code != GO_ON and code // 100 != 2:
            return _judged(code, told)
    # A line that is a dot alone would end the mail (RFC 5321, section 4.5.2).
    stuffed = re.sub(rb"(?m)^\.", b"..", content)
    try:
        server.send(stuffed + b".\r\n")
        code, told = server.getreply()
    except (OSError, smtplib.SMTPServerDisconnected):
        return Outcome(Fate.UNKNOWN, UNKNOWN_WORDS)
    return Outcome(Fate.SENT) if code // 100 == 2 else _judged(code, told)


def _judged(code: int, told: bytes) -> Outcome:
    said = _line(told.decode("utf-8", "replace"))[:300]
    if code // 100 == 5:
        return Outcome(Fate.REFUSED, f"The mail server refused it: {code} {said}")
    return Outcome(Fate.LATER, f"The mail server asks to try later: {code} {said}")


def _not_reached(error: Exception) -> Outcome:
    return Outcome(Fate.LATER, f"The mail server could not be reached ({type(error).__name__}).")
