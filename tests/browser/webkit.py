"""WebKit, the engine of every iPhone, driven over the W3C WebDriver protocol (https://www.w3.org/TR/webdriver2/)."""

import json
import os
import shutil
import socket
import subprocess
import tempfile
import time
from contextlib import closing
from http.client import HTTPConnection
from typing import Any

# The key of an element in responses (WebDriver, section 12).
ELEMENT = "element-6066-11e4-a52e-4f735466cecf"
# A machine under load is slow, not wrong.
TIMEOUT_SECONDS = 30.0


class WebKit:
    """One WebKitGTK window under a display of its own, with storage of its own that ends with it.

    `driver` and `display` are the paths of WebKitWebDriver, which knows its browser, and of Xvfb.
    """

    def __init__(self, driver: str, display: str) -> None:
        self._children: list[subprocess.Popen[bytes]] = []
        self._session = ""
        self._home = tempfile.mkdtemp(prefix="webkit-")
        try:
            environment = dict(os.environ) | {"DISPLAY": self._start_display(display), "HOME": self._home}
            environment |= {"XDG_RUNTIME_DIR": self._home, "GDK_BACKEND": "x11", "GIO_USE_VFS": "local"}
            self._start_driver(driver, environment)
            self._session = "/session/" + self._call("POST", "/session", {"capabilities": {}})["sessionId"]
            self._call("POST", "/window/rect", {"width": 480, "height": 800})
            self.wait_for("return innerWidth < 600")
        except BaseException:
            self._end()
            raise

    def open(self, url: str) -> None:
        """Navigate to an address, as if it had been typed."""
        self._call("POST", "/url", {"url": url})

    def back(self) -> None:
        self._call("POST", "/back", {})

    def execute(self, script: str, *arguments: Any) -> Any:
        """Run the body of a function in the page and return its result."""
        return self._call("POST", "/execute/sync", {"script": script, "args": list(arguments)})

    def wait_for(self, script: str, *arguments: Any, seconds: float = TIMEOUT_SECONDS) -> Any:
        """Run the script until its result is truthy, and return that.

        Raises AssertionError with the text on the screen after `seconds`.
        """
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            if found := self.execute(script, *arguments):
                return found
            time.sleep(0.1)
        raise AssertionError(f"never truthy: {script} {arguments}\n{self.text()}")

    def text(self) -> str:
        """The text on the screen."""
        return str(self.execute("return document.body.innerText"))

    def expect_text(self, words: str, *, seconds: float = TIMEOUT_SECONDS) -> None:
        self.wait_for("return document.body.innerText.includes(arguments[0])", words, seconds=seconds)

    def fill(self, label: str, text: str) -> None:
        """Type into the field with this label."""
        find = """
            const label = [...document.querySelectorAll('label')].find((each) =>
                each.checkVisibility() && each.innerText.split('\\n')[0].trim() === arguments[0])
            return label && (label.control ?? document.getElementById(label.htmlFor))
        """
        field = self.wait_for(find, label)[ELEMENT]
        self._call("POST", f"/element/{field}/clear", {})
        self._call("POST", f"/element/{field}/value", {"text": text})

    def press(self, words: str, *, exact: bool = False) -> None:
        """Press the first button or link whose text begins with this, or is this."""
        find = """
            return [...document.querySelectorAll('button, a')].find((each) =>
                each.checkVisibility() && each.innerText.trim().startsWith(arguments[0])
                && (!arguments[1] || each.innerText.trim() === arguments[0]))
        """
        self._call("POST", f"/element/{self.wait_for(find, words, exact)[ELEMENT]}/click", {})

    def close(self) -> None:
        try:
            self._call("DELETE", "", None)
        finally:
            self._end()

    def _start_display(self, program: str) -> str:
        # Xvfb picks a free display number and writes it to the pipe.
        read_end, write_end = os.pipe()
        display = [program, "-displayfd", str(write_end), "-screen", "0", "800x900x24", "-nolisten", "tcp"]
        self._start(display, dict(os.environ), pass_fds=(write_end,))
        os.close(write_end)
        with os.fdopen(read_end) as answer:
            number = answer.readline().strip()
        assert number, "Xvfb did not start"
        return f":{number}"

    def _start_driver(self, program: str, environment: dict[str, str]) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self._port: int = probe.getsockname()[1]
        self._start([program, "--host=127.0.0.1", f"--port={self._port}"], environment)
        end = time.monotonic() + TIMEOUT_SECONDS
        while not self._is_up():
            assert time.monotonic() < end, "WebKitWebDriver did not start"
            time.sleep(0.05)

    def _is_up(self) -> bool:
        try:
            self._call("GET", "/status", None)
        except ConnectionError:
            return False
        return True

    def _start(self, command: list[str], environment: dict[str, str], pass_fds: tuple[int, ...] = ()) -> None:
        quiet = subprocess.DEVNULL
        child = subprocess.Popen(command, env=environment, stdout=quiet, stderr=quiet, pass_fds=pass_fds)
        self._children.append(child)

    def _end(self) -> None:
        for child in reversed(self._children):
            child.terminate()
            child.wait(10)
        shutil.rmtree(self._home, ignore_errors=True)

    def _call(self, method: str, path: str, body: dict[str, Any] | None) -> Any:
        headers = {"Content-Type": "application/json"}
        with closing(HTTPConnection("127.0.0.1", self._port, timeout=60)) as driver:
            driver.request(method, self._session + path, None if body is None else json.dumps(body), headers)
            answer = driver.getresponse()
            value = json.load(answer)["value"]
        assert answer.status == 200, f"{method} {path}: {value}"
        return value
