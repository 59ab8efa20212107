"""POST to an address that somebody typed: only to public addresses of the internet, once, within limits.

The host is resolved once and the connection goes to an address that was checked, so that a second answer of its name
server cannot lead elsewhere. No redirect is followed, no proxy of the environment is asked, no body is read.
"""

import socket
import ssl
from collections.abc import Mapping
from contextlib import suppress
from http.client import HTTPConnection, HTTPException
from ipaddress import IPv6Address, ip_address, ip_network
from threading import Timer
from time import monotonic
from typing import Any, Literal
from urllib.parse import SplitResult, urlsplit

HTTPS_PORT = 443
TIMEOUT_SECONDS = 15
MOST_BODY_BYTES = 100_000

# A family of addresses, and an address with a port as its sockets take it.
Place = tuple[socket.AddressFamily, tuple[Any, ...]]

NotSentCode = Literal["bad_address", "private_address", "unknown_host", "unreachable", "bad_certificate", "timeout"]

# What `is_global` lets through although it leads to this network, to a cloud's own services, or into IPv4:
# IETF protocol assignments (RFC 6890), 6to4 relays (RFC 7526), a cloud's service address, IPv4-compatible, NAT64
# (RFC 6052, RFC 8215), Teredo (RFC 4380), 6to4 (RFC 3056), site-local (RFC 3879), SRv6 (RFC 9602).
_NOT_PUBLIC = tuple(
    ip_network(block)
    for block in (
        "192.0.0.0/24",
        "192.88.99.0/24",
        "168.63.129.16/32",
        "::/96",
        "64:ff9b::/96",
        "64:ff9b:1::/48",
        "2001::/32",
        "2002::/16",
        "fec0::/10",
        "5f00::/16",
    )
)


class NotSent(Exception):
    """No answer: the address is not allowed, or its server was not reached or did not answer in time."""

    def __init__(self, code: NotSentCode) -> None:
        super().__init__(code)
        self.code: NotSentCode = code


def https_url(address: str) -> SplitResult | None:
    """An address of the form https://host/path at the usual port, without a name or password in it; None otherwise."""
    try:
        url = urlsplit(address)
        port = url.port
    except ValueError:
        return None
    plain = (
        not url.username
        and not url.password
        and port in {None, HTTPS_PORT}
        and address.isascii()
        and address.isprintable()
        and " " not in address
        and "\\" not in address
    )
    return url if url.scheme == "https" and url.hostname and plain else None


def is_public(address: str) -> bool:
    """Whether an IP address is one of the public internet.

    >>> [is_public(one) for one in ("198.41.0.4", "10.0.0.1", "169.254.169.254", "::1", "::ffff:127.0.0.1")]
    [True, False, False, False, False]
    """
    try:
        ip = ip_address(address.partition("%")[0])
    except ValueError:
        return False
    if isinstance(ip, IPv6Address) and ip.ipv4_mapped is not None:
        return is_public(str(ip.ipv4_mapped))
    if ip.is_multicast or ip.is_reserved or not ip.is_global:
        return False
    return not any(ip.version == block.version and ip in block for block in _NOT_PUBLIC)


def check_url(address: str, *, loopback: bool = False) -> SplitResult:
    """An address to which something may be sent, as far as it can be told without asking a name server.

    `loopback` also allows http://127.0.0.1, for tests. Raises NotSent `bad_address` or `private_address`.
    """
    if loopback and (url := _local_url(address)) is not None:
        return url
    found = https_url(address)
    if found is None or found.hostname is None:
        raise NotSent("bad_address")
    # "127.1", "2130706433", "0x7f.1": forms in which programs understand an IPv4 address, and no name of the internet.
    last = found.hostname.rstrip(".").rpartition(".")[2]
    if ":" in found.hostname or last[:1].isdigit():
        if not is_public(found.hostname):
            raise NotSent("private_address")
    elif "." not in found.hostname.rstrip(".") or last in {"localhost", "local", "internal"}:
        raise NotSent("private_address")
    return found


def _local_url(address: str) -> SplitResult | None:
    with suppress(ValueError):
        url = urlsplit(address)
        if url.scheme == "http" and url.hostname == "127.0.0.1" and url.port and not url.username:
            return url
    return None


def post(
    address: str,
    body: bytes,
    headers: Mapping[str, str],
    *,
    loopback: bool = False,
    seconds: float = TIMEOUT_SECONDS,
) -> int:
    """Send a body once and return the status of the answer, whatever it is. Raises NotSent.

    `seconds`: for all of it, from the first address tried to the answer's headers.
    """
    url = check_url(address, loopback=loopback)
    host = url.hostname or ""
    local = url.scheme == "http"
    port = url.port or HTTPS_PORT
    found = _resolve(host, port)
    # One private address among public ones is how a name server leads a second request astray.
    if not local and not all(is_public(str(place[0])) for _, place in found):
        raise NotSent("private_address")
    connection = HTTPConnection(host, port, timeout=seconds)
    until = monotonic() + seconds
    raw = _connect(found, seconds)
    # The time limit of a socket is for each read; this one is for the whole exchange.
    alarm = Timer(max(until - monotonic(), 0.1), _cut, [raw])
    alarm.start()
    try:
        connection.sock = raw if local else ssl.create_default_context().wrap_socket(raw, server_hostname=host)
        path = f"{url.path or '/'}{f'?{url.query}' if url.query else ''}"
        connection.request("POST", path, body, {**headers, "Connection": "close"})
        with connection.getresponse() as answer:
            status = answer.status
    except ssl.SSLCertVerificationError:
        raise NotSent("bad_certificate") from None
    except TimeoutError:
        raise NotSent("timeout") from None
    except (OSError, HTTPException):
        raise NotSent("timeout" if monotonic() >= until else "unreachable") from None
    finally:
        alarm.cancel()
        connection.close()
        raw.close()
    # One that was cut within its headers looks complete.
    if monotonic() >= until:
        raise NotSent("timeout")
    return status


def _resolve(host: str, port: int) -> list[Place]:
    try:
        found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError):
        raise NotSent("unknown_host") from None
    return [(family, place) for family, _, _, _, place in found if family in {socket.AF_INET, socket.AF_INET6}]


def _connect(found: list[Place], seconds: float) -> socket.socket:
    """A connection to the first of these addresses that takes one."""
    late = False
    for family, place in found[:4]:
        raw = socket.socket(family, socket.SOCK_STREAM)
        raw.settimeout(seconds / min(len(found), 4))
        try:
            raw.connect(place)
        except TimeoutError:
            late = True
            raw.close()
        except OSError:
            raw.close()
        else:
            raw.settimeout(seconds)
            return raw
    raise NotSent("timeout" if late else "unreachable")


def _cut(raw: socket.socket) -> None:
    with suppress(OSError):
        raw.shutdown(socket.SHUT_RDWR)
