"""A phone whose browser keeps its storage on disk, and may be killed."""

import os
import signal
from contextlib import suppress
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, BrowserType, Error

from tests.browser.phone import Phone


class Handset:
    """One profile on disk: `start` opens it, `kill` ends its browser as an empty battery would."""

    def __init__(self, browser_type: BrowserType, launch_args: dict[str, Any], folder: Path) -> None:
        self._browser_type = browser_type
        self._launch_args = launch_args
        self._folder = folder
        self.context: BrowserContext | None = None

    def start(self, url: str) -> Phone:
        settings: dict[str, Any] = {"viewport": {"width": 360, "height": 740}, "locale": "en-US"}
        self.context = self._browser_type.launch_persistent_context(self._folder, **self._launch_args, **settings)
        return Phone(self.context, url)

    def kill(self) -> None:
        """End every process of this browser as an empty battery would: SIGKILL, no `pagehide`."""
        mark = os.fsencode(self._folder)
        for entry in Path("/proc").iterdir():
            with suppress(OSError):
                if entry.name.isdigit() and mark in (entry / "cmdline").read_bytes():
                    os.kill(int(entry.name), signal.SIGKILL)
        self._close()

    def _close(self) -> None:
        if self.context:
            with suppress(Error):
                self.context.close()
        self.context = None

    close = _close
