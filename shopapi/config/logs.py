"""What a log never says."""

import logging
import re

SECRET = re.compile(r"(/ask/)[^/\s?'\"<>]+", re.IGNORECASE)


class SecretsMasked(logging.Formatter):
    """Lines of a log with the secret of each owner's link blotted out, in messages and tracebacks alike."""

    def format(self, record: logging.LogRecord) -> str:
        return SECRET.sub(r"\1***", super().format(record))
