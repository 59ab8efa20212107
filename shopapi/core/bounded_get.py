"""GET from a service of another program: within a time, up to a size, and without following a redirect."""

from collections.abc import Mapping
from dataclasses import dataclass
from time import monotonic

import requests
from urllib3.exceptions import HTTPError

PIECE_BYTES = 65_536


@dataclass(frozen=True, slots=True)
class Limits:
    """`timeout`: seconds to connect, and for each read. `within_seconds`: for the whole answer.

    An answer that drips in would keep within the former for ever.
    """

    timeout: tuple[float, float]
    within_seconds: float
    most_bytes: int


class NoUsableAnswer(Exception):
    """No answer within the limits. `code`: silent, status (with `status`), too_long or too_slow."""

    def __init__(self, code: str, *, status: int = 0, because: str = "") -> None:
        super().__init__(" ".join(part for part in (code, str(status or ""), because) if part))
        self.code = code
        self.status = status


def get_bounded(
    url: str, limits: Limits, *, params: Mapping[str, str] | None = None, headers: Mapping[str, str] | None = None
) -> bytes:
    """The body of a 200 answer. Follows no redirect: what is asked goes to nobody else. Raises NoUsableAnswer."""
    try:
        with requests.get(
            url, params=params, timeout=limits.timeout, allow_redirects=False, stream=True, headers=headers
        ) as answer:
            if answer.status_code != 200:
                raise NoUsableAnswer("status", status=answer.status_code)
            body, until = bytearray(), monotonic() + limits.within_seconds
            while piece := answer.raw.read1(PIECE_BYTES, decode_content=True):
                body += piece
                if len(body) > limits.most_bytes:
                    raise NoUsableAnswer("too_long")
                if monotonic() > until:
                    raise NoUsableAnswer("too_slow")
    except (requests.RequestException, HTTPError) as failed:
        raise NoUsableAnswer("silent", because=type(failed).__name__) from failed
    return bytes(body)
