"""Runs a program of the site on the clock of the test: `python -m tests.site_process gunicorn [argument ...]`.

The shift is read from a file at each reading of the clock, since the processes outlive a test. Browsers get it with the
app: each of its scripts, those of its workers too, begins with lines that shift `Date`, in Chromium and in WebKit.
"""

import os
import runpy
import sys
import time
from collections.abc import Callable, Iterable
from datetime import timedelta
from pathlib import Path
from typing import Any
from unittest.mock import patch

from django.http.response import HttpResponseBase

from shopapi.core import clock

WEBHOOK_LOOPBACK = "TEST_WEBHOOK_LOOPBACK"
"""With this environment variable the process sends webhooks to this machine as well."""
SHIFT_FILE = "TEST_SHIFT_FILE"
"""The environment variable, read here alone, that names the file with the shift in milliseconds."""

# `performance.now()` stays: it measures lengths of time. A script may begin with a bracket, hence the last semicolon.
SHIFTED_DATE = """\
if (globalThis.Date.name !== 'ShiftedDate')
  globalThis.Date = class ShiftedDate extends Date {
    constructor(...given) {
      if (given.length === 0) super(ShiftedDate.now())
      else super(...given)
    }
    static now() {
      return super.now() + %d
    }
  };
"""
CONDITIONS = ("HTTP_IF_NONE_MATCH", "HTTP_IF_MODIFIED_SINCE", "HTTP_RANGE", "HTTP_ACCEPT_ENCODING", "wsgi.file_wrapper")
REPLACED_HEADERS = ("content-length", "etag", "last-modified")

Headers = list[tuple[str, str]]


def write_shift(file: Path, shift: timedelta) -> None:
    """Let the processes that read this file be ahead of the machine's clock by so much, from here on."""
    new = file.with_suffix(".new")
    new.write_text(f"{shift // timedelta(milliseconds=1)}")
    new.replace(file)


def application(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
    """The product's WSGI application, except that a browser's scripts begin with `SHIFTED_DATE`."""
    # Django is set up by this import, once the clock is replaced.
    from shopapi.config.wsgi import application as product  # noqa: PLC0415

    of_browser = "Mozilla/" in environ.get("HTTP_USER_AGENT", "")
    if not (of_browser and environ["REQUEST_METHOD"] == "GET" and environ["PATH_INFO"].endswith(".js")):
        return product(environ, start_response)
    begun: list[tuple[str, Headers]] = []

    def note(status: str, headers: Headers, exc_info: Any = None, /) -> Callable[[bytes], object]:
        begun.append((status, headers))
        return lambda written: None

    asked = {name: value for name, value in environ.items() if name not in CONDITIONS}
    body = product(asked, note)
    script = b"".join(body)
    if isinstance(body, HttpResponseBase):
        body.close()
    status, headers = begun[-1]
    if status.startswith("200"):
        script = (SHIFTED_DATE % _shift_ms()).encode() + script
    kept = [(name, value) for name, value in headers if name.lower() not in REPLACED_HEADERS]
    start_response(status, [*kept, ("Content-Length", str(len(script)))])
    return [script]


def _shift_ms() -> int:
    return int(Path(os.environ[SHIFT_FILE]).read_text())


def _shifted_time_ns() -> int:
    return time.time_ns() + _shift_ms() * 1_000_000  # noqa: TID251 - what is shifted


if __name__ == "__main__":
    patch.object(clock, "machine_time_ns", _shifted_time_ns).start()
    if os.environ.get(WEBHOOK_LOOPBACK):
        from shopapi.config import settings

        settings.WEBHOOK_LOOPBACK = True
    sys.argv = sys.argv[1:]
    runpy.run_module(sys.argv[0], run_name="__main__", alter_sys=True)
