"""Addresses: a telephone number as E.164, a mail address in small letters; and where push messages may be sent."""

import re
from collections.abc import Collection
from urllib.parse import urlsplit

import phonenumbers

from shopapi.core.errors import FieldError, Invalid
from shopapi.notices.rules.notice import Channel

MAIL = re.compile(r"[A-Za-z0-9.!#$%&'*+/=?^_`{|}~-]{1,64}@[A-Za-z0-9-]+(\.[A-Za-z0-9-]+)+")


def plain_address(channel: Channel, address: str, *, region: str | None, field: str = "address") -> str:
    """The address in its one form. `region` (ISO 3166) is where numbers without a country code belong.

    By hand it is a number or a mail address; a push goes to a member's id, which is left as it is.
    Raises Invalid naming `field`.
    """
    if channel == Channel.PUSH:
        return address
    if channel == Channel.EMAIL or (channel == Channel.BY_HAND and "@" in address):
        return _mail(address.strip(), field)
    return _number(address, region, field)


def _mail(address: str, field: str) -> str:
    if not MAIL.fullmatch(address):
        words = f"“{address}” is not a mail address that can be written to. Check it with the customer."
        raise Invalid("bad_email", words, fields=[FieldError(field, "bad_email", words)])
    name, _, host = address.rpartition("@")
    return f"{name}@{host.lower()}"


def _number(address: str, region: str | None, field: str) -> str:
    try:
        number = phonenumbers.parse(address, region)
    except phonenumbers.NumberParseException:
        number = None
    if number is None or not phonenumbers.is_possible_number(number):
        way_out = "Check it" if region else "Begin it with + and the country code"
        words = f"“{address}” is not a telephone number. {way_out}."
        raise Invalid("bad_phone", words, fields=[FieldError(field, "bad_phone", words)])
    return phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164)


def check_endpoint(endpoint: str, hosts: Collection[str], *, loopback: bool = False) -> None:
    """Raise Invalid unless a push endpoint is HTTPS at a known push service; `hosts` may begin with "*.".

    `loopback` admits this machine over plain HTTP, for tests alone.
    """
    words = "This browser's push service is not one that this server sends to."
    refusal = Invalid("unknown_push_service", words, fields=[FieldError("endpoint", "unknown_push_service", words)])
    try:
        url = urlsplit(endpoint)
        port = url.port
    except ValueError:
        raise refusal from None
    host = url.hostname or ""
    if loopback and url.scheme == "http" and host == "127.0.0.1":
        return
    known = any(host == one or (one.startswith("*.") and host.endswith(one[1:])) for one in hosts)
    plain = (
        not url.username and not url.password and port in {None, 443} and endpoint.isascii() and "\\" not in endpoint
    )
    if url.scheme != "https" or not known or not plain:
        raise refusal
