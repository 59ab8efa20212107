"""Log formatters that mask secrets."""

import logging
import re
from typing import Any

from gunicorn.glogging import Logger

SECRET = re.compile(r"(/ask/|/join/|/ticket/|/calendar/[0-9a-f-]{36}/)[^/\s?'\"<>]+", re.IGNORECASE)


class SecretsMasked(logging.Formatter):
    """Masks the secrets of customers' links, invitations and calendars in log lines, tracebacks included."""

    def format(self, record: logging.LogRecord) -> str:
        return SECRET.sub(r"\1***", super().format(record))


class WebLog(Logger):
    """The web server's own log, masked likewise: it names the path of an aborted request."""

    def setup(self, cfg: Any) -> None:
        super().setup(cfg)
        for log in (self.error_log, self.access_log):
            for handler in log.handlers:
                handler.setFormatter(SecretsMasked(self.error_fmt, self.datefmt))
