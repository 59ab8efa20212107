"""Addresses: telephone numbers as E.164, mail addresses in lower case, and allowed push endpoints."""

import re
from collections.abc import Collection

import idna
import phonenumbers

from shopapi.core.errors import FieldError, Invalid
from shopapi.core.outbound import https_url
from shopapi.notices.rules.notice import Channel

# A dot-atom (RFC 5321, section 4.1.2) at a domain, without "=?", which mail programs read as an encoded word.
_ATOM = r"[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+"
MAIL = re.compile(rf"(?!.*=\?)(?=[^@]{{1,64}}@){_ATOM}(\.{_ATOM})*@[A-Za-z0-9-]+(\.[A-Za-z0-9-]+)+")


def plain_address(channel: Channel, address: str, *, region: str | None, field: str = "address") -> str:
    """Normalize an address. `region` (ISO 3166) is the country of numbers without a country code.

    For `by_hand` it is a number or a mail address; for `push` a member's id, returned unchanged.
    Raises Invalid naming `field`.
    """
    if channel == Channel.PUSH:
        return address
    if channel == Channel.EMAIL or (channel == Channel.BY_HAND and "@" in address):
        return _mail(address.strip(), field)
    return _number(address, region, field)


def _mail(address: str, field: str) -> str:
    name, _, host = address.rpartition("@")
    plain = f"{name}@{_ascii_host(host)}"
    if not MAIL.fullmatch(plain):
        raise Invalid(
            "bad_email",
            fields=[FieldError(field, "bad_email", context={"address": address})],
            context={"address": address},
        )
    return plain


def _ascii_host(host: str) -> str:
    """A domain in ASCII (RFC 5891): "bücher.example" is "xn--bcher-kva.example"."""
    if host.isascii():
        return host.lower()
    try:
        return idna.encode(host, uts46=True).decode()
    except idna.IDNAError:
        return ""


def _number(address: str, region: str | None, field: str) -> str:
    try:
        number = phonenumbers.parse(address, region)
    except phonenumbers.NumberParseException:
        number = None
    if number is None or not phonenumbers.is_possible_number(number):
        way_out = "Check it" if region else "Begin it with + and the country code"
        raise Invalid(
            "bad_phone",
            fields=[FieldError(field, "bad_phone", context={"address": address, "way_out": way_out})],
            context={"address": address, "way_out": way_out},
        )
    return phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164)


def check_endpoint(endpoint: str, hosts: Collection[str], *, loopback: bool = False) -> None:
    """Raise Invalid unless a push endpoint is HTTPS at a known push service; `hosts` may begin with "*.".

    `loopback` also allows this machine over plain HTTP, for tests only.
    """
    refusal = Invalid("unknown_push_service", fields=[FieldError("endpoint", "unknown_push_service")])
    if loopback and endpoint.startswith("http://127.0.0.1:"):
        return
    url = https_url(endpoint)
    host = (url.hostname if url else None) or ""
    if not any(host == one or (one.startswith("*.") and host.endswith(one[1:])) for one in hosts):
        raise refusal
