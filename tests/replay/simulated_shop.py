"""A shop with a history: its rows as members see them, and commands pushed to it at chosen instants."""

from collections import Counter
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from random import Random
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from shopapi.accounts.models import Device
from shopapi.core.actor import Actor
from shopapi.core.clock import held_at
from shopapi.core.ids import uuid7
from shopapi.core.schema import parse, seen_with
from shopapi.core.tenancy import in_shop, in_shop_snapshot
from shopapi.sync.queries import pull_changes, read_snapshot_page, synced_kinds
from shopapi.sync.rules.clocks import KNOWN_WITHIN_MS
from shopapi.sync.rules.outcomes import Outcome
from shopapi.sync.rules.push import Push
from shopapi.sync.services.push import push_commands
from tests.factories.crews import Crew, device_of, open_crew
from tests.replay.phone_replay import Row, Rows

ZONES = ("America/Los_Angeles", "America/Chicago", "Pacific/Auckland", "Europe/London")
MOST_BYTES = 10**8
PUSH_DELAY = timedelta(seconds=2)
OPENING = (
    *("set_up_yard", "add_rig", "add_rig", "add_customer", "add_site", "add_machine", "add_machine"),
    *("open_job", "open_job", "record_finding", "draft_quote", "ask_stop", "ask_stop", "open_run", "open_run"),
    *("move_stop", "move_stop", "ask_urgent_stop", "tell_arrival", "draft_quote", "put_quote_line", "offer_quote"),
    *("start_run", "arrive_stop", "leave_stop", "report_breakdown", "add_rig", "open_run", "move_stop"),
)
"""What a shop begins with, so that the other commands soon have something to be about."""


@dataclass
class SimulatedShop:
    """A shop and the member who acts in it now. `at` is the true time, which every service uses.

    `due`: the commands to be tried first at the next step. `skews`: how far the clock of each
    member's phone is ahead, in ms.
    """

    random: Random
    crew: Crew
    zone: str
    at: datetime
    actor: Actor
    skews: dict[UUID | None, int]
    rows: Rows = field(default_factory=dict)
    minted: int = 0
    cursor: str = ""
    due: list[str] = field(default_factory=list)
    events: Counter[str] = field(default_factory=Counter)
    subscriptions: dict[str, str] = field(default_factory=dict)

    @property
    def ahead_ms(self) -> int:
        """How far the clock of the acting member's phone is ahead."""
        return self.skews[self.actor.member_id]

    @property
    def known_ahead_ms(self) -> int:
        """The skew that the phone knows; within the tolerance it is 0, on both sides."""
        return self.ahead_ms if abs(self.ahead_ms) > KNOWN_WITHIN_MS else 0

    @property
    def me(self) -> str:
        return str(self.actor.member_id)

    @property
    def today(self) -> date:
        return self.at.astimezone(ZoneInfo(self.zone)).date()

    def all(self, kind: str) -> list[Row]:
        # In order of creation: ids made by the server would give another walk each time.
        return sorted(self.rows[kind].values(), key=lambda row: row["created_at"])

    def mint(self) -> str:
        """A new id, drawn from the seed so that the walk is reproducible."""
        self.minted += 1
        ms = int(self.at.timestamp() * 1000) + self.minted % 1000
        return str(UUID(int=ms << 80 | 7 << 76 | 2 << 62 | self.random.getrandbits(62)))

    def stamp(self, ago: timedelta = timedelta()) -> str:
        """The phone's clock some time ago."""
        return moment(self.at - ago + timedelta(milliseconds=self.ahead_ms))

    def instant(self, ago: timedelta) -> str:
        """The true time some time ago."""
        return moment(self.at - ago)

    def day(self, after: int = 0) -> str:
        return (self.today + timedelta(days=after)).isoformat()

    def look(self) -> Rows:
        """The rows as the acting member's phone gets them now: by pull, or by a snapshot if the server asks for it."""
        with in_shop_snapshot(self.actor.shop_id):
            found = pull_changes(self.actor, self.cursor, max_bytes=MOST_BYTES) if self.cursor else "fork"
        if found is None:
            return self.rows
        if isinstance(found, str):
            return self._snapshot()
        assert not found.more
        rows = {kind: dict(known) for kind, known in self.rows.items()}
        for kind, row_id in found.gone:
            rows[kind].pop(str(row_id), None)
        for kind, fresh in found.rows.items():
            rows[kind].update({row["id"]: self._seen(row) for row in fresh})
        self.cursor = found.cursor
        return rows

    def _snapshot(self) -> Rows:
        with in_shop_snapshot(self.actor.shop_id):
            pages = [read_snapshot_page(self.actor, "")]
            while (after := pages[-1].after) is not None:
                pages.append(read_snapshot_page(self.actor, after))
        self.cursor = pages[0].cursor
        rows: Rows = {kind: {} for kind in synced_kinds()}
        for page in pages:
            for kind, found in page.rows.items():
                rows[kind].update({row["id"]: self._seen(row) for row in found})
        return rows

    def _seen(self, row: Row) -> Row:
        """As it leaves the server: costs are hidden from those who may not see them."""
        seen: Row = seen_with(self.actor.permissions, row)
        return seen

    def take_over(self, actor: Actor) -> None:
        """Another member acts from here on, on a phone of their own."""
        if actor is not self.actor:
            self.actor, self.cursor = actor, ""

    def entry(self, name: str, args: dict[str, Any]) -> Row:
        """The command as stored in the phone's outbox."""
        return {"id": str(uuid7()), "name": name, "args": args, "wall": self.stamp(), "ahead_ms": self.known_ahead_ms}

    def push(self, entry: Row) -> Outcome:
        """The outcome of a command that arrives shortly after it was written."""
        arrives = self.at + PUSH_DELAY
        with held_at(arrives):
            with in_shop(self.actor.shop_id):
                number = Device.objects.values_list("next_no", flat=True).get(id=device_of(self.actor))
            clocks = {"no": number, "wall": entry["wall"], "mono_ms": 0, "session": str(uuid7())}
            envelope = {"id": entry["id"], "name": entry["name"], "args": entry["args"], **clocks}
            met = {**clocks, "server": moment(self.at), "within_ms": 20}
            sent = {
                "device": str(self.actor.device_id),
                "sent_wall": moment(arrives + timedelta(milliseconds=self.ahead_ms)),
                "contacts": [met],
                "commands": [envelope],
            }
            (outcome,) = push_commands(actor=self.actor, data=parse(Push, sent), received_at=arrives).results
        return outcome


def moment(at: datetime) -> str:
    """As phones write it: `2026-11-25T09:23:34.120Z`."""
    return at.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def open_shop(random: Random, nth: int) -> SimulatedShop:
    """A shop on an evening or morning when its date may differ from UTC's."""
    zone = ZONES[nth % len(ZONES)]
    hour = random.choice((6, 11, 15, 18, 20))
    day = (2026, random.choice((3, 7, 12)), random.randrange(1, 28))
    at = datetime(*day, hour, random.randrange(60), 7, 250_000, tzinfo=ZoneInfo(zone)).astimezone(UTC)
    with held_at(at - timedelta(days=1)):
        crew = open_crew(f"ReplayComparison{nth} SimulatedShop", zone=zone)
    skews = {
        actor.member_id: random.choice((0, 0, 0, 1500, -90_000, 7 * 3_600_000))
        for actor in (crew.owner, crew.office, crew.mechanic)
    }
    return SimulatedShop(random, crew, zone, at, crew.owner, skews, due=list(OPENING))
