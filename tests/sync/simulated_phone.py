"""A phone without a screen: numbers commands, pushes and pulls, and recovers from errors as the app does.

It does what the app does and no more, so its tests hold for the app's half of the protocol.
"""

import gzip
import http.client
import json
import random
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from shopapi.core.clock import now
from tests.sync.simulated_clock import SimulatedClock

Row = dict[str, Any]
MAX_RECOVERIES = 6
# Fields of an outcome that are stored and sent back after a restore.
EARLIER_FIELDS = ("code", "words", "message", "context", "fields", "after", "number", "skew_ms", "or_skew_ms", "seal")


class ConnectionLost(Exception):
    """The connection was lost; the server may or may not have acted."""


@dataclass(frozen=True)
class Response:
    status: int
    body: Any


Transport = Callable[[str, str, Any, dict[str, str]], Response]


@dataclass
class HttpTransport:
    """HTTP to a local server with a member's API key; a new connection per request."""

    port: int
    key: str
    timeout: float = 20

    def __call__(self, method: str, path: str, body: Any, headers: dict[str, str]) -> Response:
        connection = http.client.HTTPConnection("localhost", self.port, timeout=self.timeout)
        sent = None if body is None else body if isinstance(body, bytes) else json.dumps(body).encode()
        standard = {"Authorization": f"Token {self.key}", "Content-Type": "application/json"}
        try:
            connection.request(method, path, sent, standard | headers)
            response = connection.getresponse()
            read = response.read()
            if response.getheader("Content-Encoding") == "gzip":
                read = gzip.decompress(read)
        except (OSError, http.client.HTTPException) as error:
            raise ConnectionLost from error
        finally:
            connection.close()
        return Response(response.status, json.loads(read) if read else None)


def iso_utc(at: datetime) -> str:
    return at.isoformat().replace("+00:00", "Z")


def iso_from_ms(ms: int) -> str:
    return iso_utc(datetime.fromtimestamp(0, UTC) + timedelta(milliseconds=ms))


@dataclass
class OutboxEntry:
    """A command in the outbox. `outcome`: the server's answer, once received."""

    id: str
    no: int
    name: str
    args: Row
    wall: str
    mono_ms: int
    session: str = "s1"
    outcome: Row | None = None
    acked: bool = False
    # The outcome from before the server was restored.
    earlier: Row | None = None

    def to_body(self) -> Row:
        return {
            "id": self.id,
            "no": self.no,
            "name": self.name,
            "v": 1,
            "args": self.args,
            "wall": self.wall,
            "mono_ms": self.mono_ms,
            "session": self.session,
            "earlier": self.earlier,
        }

    def mark_unsent(self) -> None:
        """Mark for sending again, with the earlier outcome: the server may have lost it."""
        if self.outcome is not None:
            kept = {key: self.outcome[key] for key in EARLIER_FIELDS}
            waits = self.status == "held" and self.earlier is not None
            self.earlier = self.earlier if waits else {"status": self.status, **kept}
        self.outcome, self.acked = None, False

    @property
    def status(self) -> str | None:
        """The status that the command got when it was first executed."""
        if self.outcome is None:
            return None
        return str(self.outcome["first"] or self.outcome["status"])


@dataclass
class SimulatedPhone:
    """One device. `base` holds the server's rows by (kind, id) as of `cursor`.

    With `clocks` its commands bear what those show, and its pushes the exchanges that `meet` has noted.
    """

    send: Transport
    rng: random.Random
    id: str = ""
    letter: str = ""
    next_no: int = 1
    cursor: str | None = None
    base: dict[tuple[str, str], Row] = field(default_factory=dict)
    outbox: list[OutboxEntry] = field(default_factory=list)
    safe_no: int = 0
    retired: bool = False
    resync_reasons: list[str] = field(default_factory=list)
    former_device_ids: list[str] = field(default_factory=list)
    clocks: SimulatedClock | None = None
    contacts: list[Row] = field(default_factory=list)

    def new_id(self) -> str:
        return str(UUID(int=self.rng.getrandbits(128), version=4))

    def call(self, method: str, path: str, body: Any = None, **headers: str) -> Response:
        return self.send(method, f"/api/v1/{path}", body, headers)

    # Actions of a person

    def write(self, command: str, /, **args: Any) -> OutboxEntry:
        """Append a numbered command to the outbox; nothing is sent yet."""
        if self.clocks is None:
            wall, mono_ms, session = iso_utc(now()), self.next_no * 10, "s1"
        else:
            wall, mono_ms, session = self.wall_time(), self.clocks.mono_ms, self.clocks.session
        entry = OutboxEntry(self.new_id(), self.next_no, command, args, wall, mono_ms, session)
        self.outbox.append(entry)
        self.next_no += 1
        return entry

    def wall_time(self) -> str:
        """The time that the phone's wall clock shows."""
        assert self.clocks is not None
        return iso_from_ms(self.clocks.wall_ms)

    def record_contact(self) -> None:
        """Record an exchange with the server in the simulated past."""
        assert self.clocks is not None
        met = self.clocks.record_contact()
        self.contacts.append(
            {
                "no": self.next_no,
                "wall": iso_from_ms(met.wall_ms),
                "mono_ms": met.mono_ms,
                "session": met.session,
                "server": iso_from_ms(met.server_ms),
                "within_ms": met.within_ms,
            }
        )

    def unsent(self) -> list[OutboxEntry]:
        return [entry for entry in self.outbox if entry.outcome is None]

    # Actions of the phone

    def register(self) -> Response:
        if not self.id:
            self.id = self.new_id()
        answer = self.call("POST", "sync/devices", {"id": self.id, "label": "a phone", "build": "1"})
        if answer.status == 200:
            self.letter = answer.body["letter"]
        return answer

    def push_entries(self, entries: Sequence[OutboxEntry], *, device: str | None = None) -> Response:
        """Push exactly these entries once; outcomes are recorded, errors are left to the caller."""
        ahead = timedelta(milliseconds=0 if self.clocks is None else self.clocks.ahead_ms)
        body = {
            "device": device or self.id,
            "build": "1",
            "sent_wall": iso_utc(now() + ahead),
            "commands": [entry.to_body() for entry in entries],
        }
        if self.contacts:
            body["contacts"] = self.contacts
        answer = self.call("POST", "sync/push", body)
        if answer.status == 200:
            self.record_outcomes(answer.body["results"])
        return answer

    def record_outcomes(self, results: Sequence[Row]) -> None:
        by_id = {entry.id: entry for entry in self.outbox}
        for result in results:
            by_id[result["id"]].outcome = result

    def push(self, *, limit: int = 50) -> None:
        """Push unsent commands in order, recovering from gaps, forks and restores."""
        recoveries = 0
        while waiting := self.unsent():
            answer = self.push_entries(waiting[:limit])
            if answer.status == 200 and answer.body["results"]:
                continue
            if answer.status == 410:
                self.retired = True
                return
            if answer.status == 503:
                raise ConnectionLost
            if recoveries == MAX_RECOVERIES:
                raise AssertionError(f"push is refused again and again: {answer}")
            recoveries += 1
            if answer.status == 404:
                self._resend_all()
            elif answer.status == 409 and answer.body["code"] == "gap":
                self._recover_from_gap(answer.body["expect"])
            elif answer.status == 409 and answer.body["code"] == "fork":
                self._register_anew()
            else:
                raise AssertionError(f"push is refused: {answer}")

    def _recover_from_gap(self, expect: int) -> None:
        self._fetch_outcomes([entry for entry in self.unsent() if entry.no < expect])
        for entry in self.outbox:
            if entry.no >= expect:
                entry.mark_unsent()
        if not any(entry.no == expect for entry in self.unsent()):
            self._register_anew()

    def _register_anew(self) -> None:
        """Continue as a new device; commands that the server has under the old device are not sent again."""
        self._fetch_outcomes(self.unsent())
        self.former_device_ids.append(self.id)
        self.id = ""
        self.safe_no = 0
        for no, entry in enumerate(self.unsent(), start=1):
            entry.no = no
        self.outbox = self.unsent()
        self.next_no = len(self.outbox) + 1
        self.register()

    def _fetch_outcomes(self, entries: Collection[OutboxEntry]) -> None:
        for entry in entries:
            answer = self.call("GET", f"sync/commands/{entry.id}")
            if answer.status == 200:
                entry.outcome = answer.body

    def _resend_all(self) -> None:
        """Mark everything for sending again that no backup is known to hold: the server was restored."""
        self.register()
        for entry in self.outbox:
            entry.mark_unsent()

    def snapshot(self) -> None:
        """Fetch a new snapshot; the outbox stays."""
        rows: dict[tuple[str, str], Row] = {}
        page = first = self.get("sync/snapshot")
        self.merge_rows(rows, page["rows"])
        while page["after"] is not None:
            page = self.get("sync/snapshot", after=page["after"])
            self.merge_rows(rows, page["rows"])
        self.base, self.cursor = rows, first["cursor"]
        # Later pages are at least as new as the first one.
        self._acknowledge(first["acks"])

    def _acknowledge(self, acks: dict[str, int]) -> None:
        for entry in self.outbox:
            entry.acked = entry.acked or (entry.outcome is not None and entry.no <= acks[self.id])

    def get(self, path: str, **query: Any) -> Row:
        answer = self.call("GET", f"{path}?{urlencode({'device': self.id, **query})}")
        if answer.status == 503:
            raise ConnectionLost
        assert answer.status == 200, answer
        return dict(answer.body)

    def pull_once(self, **query: Any) -> Response:
        """Pull once and merge its rows."""
        asked = urlencode({"device": self.id, "cursor": self.cursor or "", **query})
        answer = self.call("GET", f"sync/pull?{asked}")
        if answer.status == 503:
            raise ConnectionLost
        if answer.status == 200 and answer.body["resync"] is None:
            body = answer.body
            self.merge_rows(self.base, body["rows"])
            for kind, row_id in body["gone"]:
                self.base.pop((kind, row_id), None)
            self.cursor, self.safe_no = body["cursor"], body["safe_no"]
            if not body["more"]:
                self._acknowledge(body["acks"])
        return answer

    def pull(self, **query: Any) -> None:
        """Pull until nothing is left, with new snapshots where the server asks for them."""
        for _ in range(MAX_RECOVERIES):
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
                self._resend_all()
                self.push()
                continue
            assert answer.status == 200, answer
            self.resync_reasons.append(answer.body["resync"])
            self.cursor = None
            if answer.body["resync"] == "fork":
                self._resend_all()
                self.push()
        raise AssertionError("the server asks for a new snapshot again and again")

    def sync(self) -> None:
        if not self.letter:
            self.register()
        self.push()
        if not self.retired:
            self.pull()

    @staticmethod
    def merge_rows(into: dict[tuple[str, str], Row], rows: dict[str, list[Row]]) -> None:
        for kind, found in rows.items():
            into.update({(kind, row["id"]): row for row in found})

    # What the screen shows

    def rows(self, kind: str) -> dict[str, Row]:
        return {row_id: row for (of, row_id), row in self.base.items() if of == kind}
