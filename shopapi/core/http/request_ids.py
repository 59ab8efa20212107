"""The id of the current request, by which its log lines are found."""

import re
import uuid
from contextvars import ContextVar

HEADER = "X-Request-Id"
GIVEN = re.compile(r"[A-Za-z0-9._-]{1,64}")
current_request_id: ContextVar[str] = ContextVar("current_request_id", default="")


def request_id_of(given: str | None) -> str:
    r"""The id that the client or a proxy gave, if it may be written to a log as it is; otherwise a new one.

    >>> request_id_of("a.b-1"), len(request_id_of("two\nlines")), len(request_id_of(None))
    ('a.b-1', 32, 32)
    """
    return given if given is not None and GIVEN.fullmatch(given) else uuid.uuid4().hex
