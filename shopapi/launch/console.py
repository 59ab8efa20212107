"""What the launcher prints: one plain line for each step."""

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager


def say(words: str) -> None:
    print(words, flush=True)


@contextmanager
def step(words: str) -> Iterator[Callable[[str], None]]:
    """One long step: its name at once, its seconds at the end.

    The value given is a function that shows how far it is; only a terminal shows that.
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
