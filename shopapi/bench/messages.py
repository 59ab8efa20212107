"""English sentences of the bench."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {}
