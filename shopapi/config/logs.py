"""Log lines: one JSON object each, without secrets; none for idle periodic work, few for a broker that is down."""

import json
import logging
import re
import time
from datetime import UTC, datetime
from typing import Any

from gunicorn.glogging import Logger

from shopapi.config.schedule import INTERVALS
from shopapi.core.http.request_ids import current_request_id

SECRET = re.compile(r"(/ask/|/join/|/ticket/|/bill/|/calendar/[0-9a-f-]{36}/)[^/\s?'\"<>]+", re.IGNORECASE)
# What PostgreSQL adds to an error: the values of a row, the statement with its values.
DATABASE_VALUES = re.compile(r"(DETAIL|CONTEXT|QUERY|LINE \d+): .*")
OUTAGE_SECONDS = 60.0
# Where Celery and its transport report that the broker does not answer, some of them with every attempt.
BROKER_LOGGERS = ("celery.beat", "celery.worker.consumer", "kombu.")
BROKER_WORDS = re.compile(r"broker|cannot connect|connection error|message error", re.IGNORECASE)


class SecretsMasked(logging.Formatter):
    """Masks secrets of customers' links, invitations and calendars, tracebacks included, and values of the database."""

    def format(self, record: logging.LogRecord) -> str:
        return mask(super().format(record))


def mask(text: str) -> str:
    """The text without secrets and without what the database tells of a row."""
    return DATABASE_VALUES.sub(r"\1: ***", SECRET.sub(r"\1***", text))


class JsonLines(SecretsMasked):
    """One JSON object a line: time (UTC), level, logger, message, the request's id, and the record's own `fields`."""

    def format(self, record: logging.LogRecord) -> str:
        line: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "logger": record.name,
            "message": mask(record.getMessage()),
        }
        if request_id := current_request_id.get():
            line["request_id"] = request_id
        line |= getattr(record, "fields", {})
        # Celery's own of a finished task; its arguments and its result are left out.
        if isinstance(data := getattr(record, "data", None), dict):
            line |= {name: data[name] for name in ("name", "id", "runtime") if name in data}
        if record.exc_info and record.exc_info[0] is not None:
            line["exception"] = mask(self.formatException(record.exc_info))
        return json.dumps(line, ensure_ascii=False, default=str)


class IdleTicksDropped(logging.Filter):
    """Drops Celery's line for a periodic task that succeeded: a task logs what it did itself, a failure is kept."""

    def filter(self, record: logging.LogRecord) -> bool:
        data = getattr(record, "data", None)
        name = data.get("name") if isinstance(data, dict) else None
        return not (record.levelno <= logging.INFO and name in INTERVALS)


class BrokerOutage(logging.Filter):
    """Reduces what is logged while the broker is down to one line a minute, without a traceback."""

    def __init__(self) -> None:
        super().__init__()
        self._said: float | None = None

    def filter(self, record: logging.LogRecord) -> bool:
        if not _is_outage(record):
            return True
        instant = time.monotonic()
        if self._said is not None and instant - self._said < OUTAGE_SECONDS:
            return False
        self._said = instant
        record.msg = "The broker does not answer; PDFs and messages wait until it does."
        record.args, record.exc_info, record.exc_text = (), None, None
        return True


def _is_outage(record: logging.LogRecord) -> bool:
    if record.levelno < logging.WARNING or not record.name.startswith(BROKER_LOGGERS):
        return False
    return BROKER_WORDS.search(record.getMessage()) is not None


class WebLog(Logger):
    """The web server's own log in the same form: it names the path of an aborted request."""

    def setup(self, cfg: Any) -> None:
        super().setup(cfg)
        for log in (self.error_log, self.access_log):
            for handler in log.handlers:
                handler.setFormatter(JsonLines())


LOGGING: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"()": JsonLines}},
    "filters": {"idle_ticks": {"()": IdleTicksDropped}, "outage": {"()": BrokerOutage}},
    "handlers": {
        "console": {"class": "logging.StreamHandler", "formatter": "line", "filters": ["idle_ticks", "outage"]}
    },
    "root": {"handlers": ["console"], "level": "INFO"},
    "loggers": {
        # A line for each message that arrives or expires, which the line of a finished task repeats.
        "celery.worker.strategy": {"level": "WARNING"},
        "celery.worker.request": {"level": "WARNING"},
        "celery.beat": {"level": "WARNING"},
        # Three lines a PDF.
        "weasyprint.progress": {"level": "WARNING"},
    },
}
