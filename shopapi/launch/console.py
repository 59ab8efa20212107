"""Output of the launcher: one line per step."""

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager


def say(words: str) -> None:
    print(words, flush=True)


@contextmanager
def step(words: str) -> Iterator[Callable[[str], None]]:
    """Print a long step's name at once and its seconds at the end.

    Yields a function that shows the progress, on a terminal only.
    """
    live = sys.stdout.isatty()
    start = time.monotonic()

    def show(detail: str) -> None:
        if live:
            print(f"\r\x1b[K{words} ... {detail[:60]}", end="", flush=True)

    print(f"{words} ...", end="", flush=True)
    try:
        yield show
    except BaseException:
        print(flush=True)
        raise
    if live:
        print(f"\r\x1b[K{words} ...", end="")
    print(f" {time.monotonic() - start:.0f} s", flush=True)
