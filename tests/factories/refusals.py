"""Assertions on the sentences of refusals."""

import re
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from shopapi.core.errors import DomainError
from shopapi.core.rendering import render


@contextmanager
def refuses(family: type[DomainError], sentence: str) -> Iterator[pytest.ExceptionInfo[DomainError]]:
    """As `pytest.raises`, with `sentence` (a regular expression) searched in the sentence that the refusal shows."""
    with pytest.raises(family) as found:
        yield found
    shown = render(found.value.reason)
    assert re.search(sentence, shown), shown
