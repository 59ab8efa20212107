"""A phone without a screen: numbers commands, sends them, keeps what the server says, and sets things right.

It does what the app does and no more, so that what holds for it holds for the app's half of the protocol.
"""

import http.client
import json
import random
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

Row = dict[str, Any]
MOST_REPAIRS = 6


class NoAnswer(Exception):
    """The line was lost: whether the server has acted nobody knows."""


@dataclass(frozen=True)
class Answer:
    status: int
    body: Any


Send = Callable[[str, str, Any, dict[str, str]], Answer]


@dataclass
class Wire:
    """HTTP to a server of this machine with a member's key; a connection a call, as bad signal has it."""

    port: int
    key: str
    timeout: float = 20

    def __call__(self, method: str, path: str, body: Any, headers: dict[str, str]) -> Answer:
        connection = http.client.HTTPConnection("localhost", self.port, timeout=self.timeout)
        sent = None if body is None else body if isinstance(body, bytes) else json.dumps(body).encode()
        standard = {"Authorization": f"Token {self.key}", "Content-Type": "application/json"}
        try:
            connection.request(method, path, sent, standard | headers)
            response = connection.getresponse()
            read = response.read()
        except (OSError, http.client.HTTPException) as error:
            raise NoAnswer from error
        finally:
            connection.close()
        return Answer(response.status, json.loads(read) if read else None)


@dataclass
class Entry:
    """A command in the outbox. `outcome`: what the server said of it, once it has."""

    id: str
    no: int
    name: str
    args: Row
    wall: str
    mono_ms: int
    outcome: Row | None = None
    acked: bool = False

    def on_wire(self) -> Row:
        return {
            "id": self.id,
            "no": self.no,
            "name": self.name,
            "v": 1,
            "args": self.args,
            "wall": self.wall,
            "mono_ms": self.mono_ms,
            "session": "s1",
        }

    @property
    def status(self) -> str | None:
        """What became of the command the first time it was carried out."""
        if self.outcome is None:
            return None
        return str(self.outcome["first"] or self.outcome["status"])


@dataclass
class Phone:
    """One device. `base` holds the server's rows by (kind, id) as of `cursor`."""

    send: Send
    rng: random.Random
    id: str = ""
    letter: str = ""
    next_no: int = 1
    cursor: str | None = None
    base: dict[tuple[str, str], Row] = field(default_factory=dict)
    outbox: list[Entry] = field(default_factory=list)
    safe_no: int = 0
    retired: bool = False
    resyncs: list[str] = field(default_factory=list)
    earlier_ids: list[str] = field(default_factory=list)

    def mint(self) -> str:
        return str(UUID(int=self.rng.getrandbits(128), version=4))

    def call(self, method: str, path: str, body: Any = None, **headers: str) -> Answer:
        return self.send(method, f"/api/v1/{path}", body, headers)

    # What a person does

    def write(self, command: str, /, **args: Any) -> Entry:
        """Put a command into the outbox, numbered; nothing is sent yet."""
        wall = datetime.now(UTC).isoformat().replace("+00:00", "Z")
        entry = Entry(self.mint(), self.next_no, command, args, wall, self.next_no * 10)
        self.outbox.append(entry)
        self.next_no += 1
        return entry

    def unsent(self) -> list[Entry]:
        return [entry for entry in self.outbox if entry.outcome is None]

    # What a phone does by itself

    def register(self) -> Answer:
        if not self.id:
            self.id = self.mint()
        answer = self.call("POST", "sync/devices", {"id": self.id, "label": "a phone", "build": "1"})
        if answer.status == 200:
            self.letter = answer.body["letter"]
        return answer

    def push_raw(self, entries: Sequence[Entry], *, device: str | None = None) -> Answer:
        """One push of exactly these entries; outcomes are kept, trouble is left to the caller."""
        sent = datetime.now(UTC).isoformat().replace("+00:00", "Z")
        body = {
            "device": device or self.id,
            "build": "1",
            "sent_wall": sent,
            "commands": [entry.on_wire() for entry in entries],
        }
        answer = self.call("POST", "sync/push", body)
        if answer.status == 200:
            self.note(answer.body["results"])
        return answer

    def note(self, results: Sequence[Row]) -> None:
        by_id = {entry.id: entry for entry in self.outbox}
        for result in results:
            by_id[result["id"]].outcome = result

    def push(self, *, most: int = 50) -> None:
        """Send what is unsent, in order, setting right what the server objects to."""
        repairs = 0
        while waiting := self.unsent():
            answer = self.push_raw(waiting[:most])
            if answer.status == 200 and answer.body["results"]:
                continue
            if answer.status == 410:
                self.retired = True
                return
            if answer.status == 503:
                raise NoAnswer
            if repairs == MOST_REPAIRS:
                raise AssertionError(f"push is refused again and again: {answer}")
            repairs += 1
            if answer.status == 404:
                self._send_again()
            elif answer.status == 409 and answer.body["code"] == "gap":
                self._close_gap(answer.body["expect"])
            elif answer.status == 409 and answer.body["code"] == "fork":
                self._part()
            else:
                raise AssertionError(f"push is refused: {answer}")

    def _close_gap(self, expect: int) -> None:
        self._learn([entry for entry in self.unsent() if entry.no < expect])
        for entry in self.outbox:
            if entry.no >= expect:
                entry.outcome = None
        if not any(entry.no == expect for entry in self.unsent()):
            self._part()

    def _part(self) -> None:
        """Go on as a new device; what the server has under the old identity is not sent again."""
        self._learn(self.unsent())
        self.earlier_ids.append(self.id)
        self.id = ""
        self.safe_no = 0
        for no, entry in enumerate(self.unsent(), start=1):
            entry.no = no
        self.outbox = self.unsent()
        self.next_no = len(self.outbox) + 1
        self.register()

    def _learn(self, entries: Collection[Entry]) -> None:
        for entry in entries:
            answer = self.call("GET", f"sync/commands/{entry.id}")
            if answer.status == 200:
                entry.outcome = answer.body

    def _send_again(self) -> None:
        """The server came back from a backup: it gets everything again that no backup is known to hold."""
        self.register()
        for entry in self.outbox:
            entry.outcome, entry.acked = None, False

    def snapshot(self) -> None:
        """Fetch everything anew; the outbox stays."""
        rows: dict[tuple[str, str], Row] = {}
        page = first = self.get("sync/snapshot")
        self.take(rows, page["rows"])
        while page["after"] is not None:
            page = self.get("sync/snapshot", after=page["after"])
            self.take(rows, page["rows"])
        self.base, self.cursor = rows, first["cursor"]
        # Later pages hold at least what the first one's moment did.
        self._acknowledge(first["acks"])

    def _acknowledge(self, acks: dict[str, int]) -> None:
        for entry in self.outbox:
            entry.acked = entry.acked or (entry.outcome is not None and entry.no <= acks[self.id])

    def get(self, path: str, **query: Any) -> Row:
        answer = self.call("GET", f"{path}?{urlencode({'device': self.id, **query})}")
        if answer.status == 503:
            raise NoAnswer
        assert answer.status == 200, answer
        return dict(answer.body)

    def pull_once(self, **query: Any) -> Answer:
        """One pull; its rows are kept."""
        asked = urlencode({"device": self.id, "cursor": self.cursor or "", **query})
        answer = self.call("GET", f"sync/pull?{asked}")
        if answer.status == 503:
            raise NoAnswer
        if answer.status == 200 and answer.body["resync"] is None:
            body = answer.body
            self.take(self.base, body["rows"])
            for kind, row_id in body["gone"]:
                self.base.pop((kind, row_id), None)
            self.cursor, self.safe_no = body["cursor"], body["safe_no"]
            self._acknowledge(body["acks"])
        return answer

    def pull(self, **query: Any) -> None:
        """Fetch what is new to the end, with new snapshots where the server asks for them."""
        for _ in range(MOST_REPAIRS):
            if self.cursor is None:
                self.snapshot()
            answer = self.pull_once(**query)
            while answer.status == 200 and answer.body["resync"] is None and answer.body["more"]:
                answer = self.pull_once(**query)
            if answer.status == 304 or (answer.status == 200 and answer.body["resync"] is None):
                return
            if answer.status == 410:
                self.retired = True
                return
            if answer.status == 404:
                self._send_again()
                self.push()
                continue
            assert answer.status == 200, answer
            self.resyncs.append(answer.body["resync"])
            self.cursor = None
            if answer.body["resync"] == "fork":
                self._send_again()
                self.push()
        raise AssertionError("the server asks for a new snapshot again and again")

    def sync(self) -> None:
        if not self.letter:
            self.register()
        self.push()
        if not self.retired:
            self.pull()

    @staticmethod
    def take(into: dict[tuple[str, str], Row], rows: dict[str, list[Row]]) -> None:
        for kind, found in rows.items():
            into.update({(kind, row["id"]): row for row in found})

    # What a person sees

    def rows(self, kind: str) -> dict[str, Row]:
        return {row_id: row for (of, row_id), row in self.base.items() if of == kind}
