"""The oldest build of the app that is still sent rows."""

import re

MIN_BUILD = "0.4.0"
"""The oldest build of the app that understands the rows it is sent. An older one may still push."""
BUILD_PATTERN = re.compile(r"([0-9]{1,6})\.([0-9]{1,6})\.([0-9]{1,6})", re.ASCII)


def is_older_build(build: str, least: str) -> bool:
    """Whether a build of the app is older than `least`. A text that is not a version never is.

    >>> is_older_build("0.9.12", "0.10.0"), is_older_build("0.10.0", "0.10.0"), is_older_build("test", "0.10.0")
    (True, False, False)
    """
    found, wanted = BUILD_PATTERN.fullmatch(build), BUILD_PATTERN.fullmatch(least)
    if found is None or wanted is None:
        return False
    return tuple(int(part) for part in found.groups()) < tuple(int(part) for part in wanted.groups())
