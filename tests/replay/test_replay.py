"""The phone's optimistic rows equal the server's: every command, in random shops.

`DRAWBAR_REPLAYS=10000` takes that many steps, different each time.
"""

import json
import os
import re
from collections import Counter
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from random import Random
from typing import Any

import pytest

from shopapi.accounts.rules import Permission
from shopapi.core.resources import Resource
from shopapi.sync.queries import synced_kinds
from shopapi.sync.services.push import PUSH_COMMANDS as CATALOG
from tests.replay.differences import RARE_ENTRIES, SERVER_CREATED_ROWS, SERVER_ONLY_FIELDS
from tests.replay.events import trigger_event
from tests.replay.generators.all_areas import FOLLOWS, GENERATORS
from tests.replay.generators.registry import one, whose
from tests.replay.phone_replay import PhoneReplay, Row, Rows, changes, run_phone_replay
from tests.replay.simulated_shop import SimulatedShop, moment, open_shop

LONG = int(os.environ.get("DRAWBAR_REPLAYS", "0"))
STEPS = LONG or 600
MOST_STEPS = LONG or 6000
STEPS_PER_SHOP = 150
SEED = 20261128
REPORT = os.environ.get("DRAWBAR_REPLAYS_REPORT")
MIN_APPLIED = 5 if LONG else 1

# Rejections that follow from the transition tables, which the phone has too: it shows no change either. Any other
# rejected change is shown until the outcome arrives.
STATE_ERRORS = {"run_over", "run_not_next", "stage_not_next", "stop_over", "part_state_not_next"}

Difference = tuple[str, str, str, Any, Any]


@pytest.fixture(autouse=True)
def _quick_passwords_and_a_mail_server(settings: Any) -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.SMTP = {"host": "localhost", "port": 1}


def test_every_queued_command_has_a_generator() -> None:
    """Members and devices are managed online only; numbers are exchanged by settling an issue."""
    at_once = {name for name, command in CATALOG.items() if command.needs == Permission.MANAGE_MEMBERS}
    names = {command.name for command in CATALOG.values()}
    assert GENERATORS.keys() == names - at_once - {"number_job", "number_quote"}


@pytest.fixture
def phone(committed_db: None) -> Iterator[PhoneReplay]:
    with run_phone_replay() as replay:
        yield replay


class ReplayComparison:
    """Steps in one shop after another: the phone's optimistic rows compared with the server's."""

    def __init__(self, phone: PhoneReplay, random: Random) -> None:
        self.phone = phone
        self.random = random
        self.applied: Counter[str] = Counter()
        self.refused: Counter[tuple[str, str]] = Counter()
        self.differences: list[Difference] = []
        self.needed: set[tuple[str, str]] = set()
        # The kinds of rows that commands created, changed or removed.
        self.kinds: set[str] = set()
        self.clashes = 0
        self.shops = 0
        self.steps = 0

    def not_needed(self) -> set[tuple[str, str]]:
        """The allowed differences that no step has needed yet."""
        return (SERVER_ONLY_FIELDS.keys() | SERVER_CREATED_ROWS.keys()) - self.needed

    def is_complete(self) -> bool:
        """Whether every command was applied, every allowed difference needed but the rarest, and an edit clashed."""
        applied = min(self.applied[name] for name in GENERATORS)
        return self.not_needed() <= RARE_ENTRIES and applied >= MIN_APPLIED and self.clashes > 0

    def go(self, steps: int) -> None:
        self.steps += steps
        while steps > 0:
            self.shops += 1
            shop = open_shop(self.random, self.shops)
            self.look(shop, fresh=True)
            for _ in range(min(steps, STEPS_PER_SHOP)):
                self.move_on(shop)
                self.step(shop)
            steps -= STEPS_PER_SHOP
        self.start_what_is_over(shop)

    def look(self, shop: SimulatedShop, *, fresh: bool = False) -> None:
        after = shop.look()
        self.phone.take(shop.rows, after, fresh=fresh)
        shop.rows = after

    def move_on(self, shop: SimulatedShop) -> None:
        """Advance time, switch the member or let an event happen."""
        shop.at += timedelta(seconds=self.random.choice((20, 61, 150, 800, 2400)))
        if self.random.random() < 0.15:
            crew = shop.crew
            shop.take_over(self.random.choice((crew.owner, crew.owner, crew.office, crew.mechanic)))
            self.look(shop)
        if self.random.random() < 0.15:
            trigger_event(shop)
            self.look(shop)

    def step(self, shop: SimulatedShop) -> None:
        self.take_step(shop, *self.draw(shop))

    def take_step(self, shop: SimulatedShop, name: str, args: Row) -> None:
        entry = shop.entry(name, args)
        outcome = shop.push(entry)
        after = shop.look()
        if outcome.status == "applied":
            self.applied[name] += 1
            if name in FOLLOWS and self.random.random() < 0.7:
                shop.due.insert(0, self.random.choice(FOLLOWS[name]))
        else:
            self.refused[name, outcome.code or ""] += 1
        if outcome.status == "applied" or outcome.code in STATE_ERRORS:
            who = {"member_id": shop.me, "device_id": str(shop.actor.device_id)}
            self.compare(entry, shop.rows, self.phone.replay(shop.rows, entry, who), after)
        self.phone.take(shop.rows, after)
        shop.rows = after

    def start_what_is_over(self, shop: SimulatedShop) -> None:
        """A finished run does not drive again, on either side."""
        run = one(shop, whose(shop, "run", state=("done", "cancelled")))
        if run is not None:
            shop.take_over(shop.crew.owner)
            self.look(shop)
            self.take_step(shop, "start_run", {"id": run["id"], "at": shop.stamp(), "clock_id": None})

    def draw(self, shop: SimulatedShop) -> tuple[str, Row]:
        """A command that fits, rarely applied ones first."""
        wishes = {name: (self.applied[name] + 1) ** 2 * self.random.random() for name in GENERATORS}
        due, shop.due = shop.due[:1], shop.due[1:]
        for name in [*due, *sorted(wishes, key=wishes.__getitem__)]:
            if shop.actor.may(CATALOG[name].needs):
                args = GENERATORS[name](shop)
                if args is not None:
                    return name, json.loads(json.dumps(args))
        raise AssertionError("there is always something to do")

    def compare(self, entry: Row, before: Rows, shown: Rows, after: Rows) -> None:
        name = entry["name"]
        clashing = clashes(entry, before)
        touched = {(kind, row_id) for rows in (shown, after) for kind, row_id in differing(before, rows)}
        self.kinds |= {kind for kind, _ in touched}
        for kind, row_id in sorted(touched):
            theirs, ours = after[kind].get(row_id), shown[kind].get(row_id)
            if theirs is None or ours is None:
                if theirs is None and ours is None:
                    continue
                self.note(name, kind, "+" if theirs else "-", theirs, ours)
                continue
            for field in sorted(theirs.keys() | ours.keys()):
                if (row_id, field) in clashing:
                    self.clashes += 1
                    continue
                found = [normalize_times(row.get(field, "absent")) for row in (theirs, ours)]
                if found[0] != found[1]:
                    self.note(name, kind, field, *found)

    def note(self, name: str, kind: str, field: str, theirs: Any, ours: Any) -> None:
        excused = {("*", field), (kind, field)} & SERVER_ONLY_FIELDS.keys()
        if field == "+":
            excused = {("*", kind), (name, kind)} & SERVER_CREATED_ROWS.keys()
        if excused:
            self.needed |= excused
        else:
            self.differences.append((name, kind, field, theirs, ours))


def clashes(entry: Row, before: Rows) -> set[tuple[str, str]]:
    """The fields of an edit that somebody else has changed: the server's values stand until a person chooses."""
    args = entry["args"]
    if "base" not in args:
        return set()
    # A shop and its price book have the same id, as have a part and its line: the command names which of them it edits.
    found = {kind: rows[args["id"]] for kind, rows in before.items() if args["id"] in rows}
    found = {kind: row for kind, row in found.items() if args["base"].keys() <= row.keys()}
    row = found.get(entry["name"].removeprefix("edit_")) or next(iter(found.values()))
    clashing = any(row[name] != seen for name, seen in args["base"].items())
    return {(args["id"], name) for name in args["set"]} if clashing else set()


MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)")


def normalize_times(value: Any) -> Any:
    """A value with every time in one format: the server may write six digits of a second or no fraction."""
    if isinstance(value, dict):
        return {key: normalize_times(item) for key, item in value.items()}
    if isinstance(value, list):
        return [normalize_times(item) for item in value]
    if isinstance(value, str) and MOMENT.fullmatch(value):
        return moment(datetime.fromisoformat(value))
    return value


def differing(before: Rows, after: Rows) -> set[tuple[str, str]]:
    put, gone = changes(before, after)
    return {(kind, row_id) for kind, rows in put.items() for row_id in rows} | set(gone)


def queues(resource: Resource) -> bool:
    """Whether a phone may queue a command of this resource: the others are made online, or by the server alone."""
    return any(command.name in GENERATORS for command in resource.commands)


def test_optimistic_rows_equal_the_servers(phone: PhoneReplay) -> None:
    walk = ReplayComparison(phone, Random(None if LONG else SEED))  # noqa: S311 - a walk, no secret
    try:
        walk.go(STEPS)
        # A seed may leave out what is rare: more steps find it.
        while not walk.is_complete() and walk.steps < MOST_STEPS:
            walk.go(STEPS_PER_SHOP)
    finally:
        report(walk)
    assert not walk.differences, "\n".join(map(str, walk.differences[:20]))
    assert walk.not_needed() <= (set() if LONG else RARE_ENTRIES)
    assert walk.clashes > 0
    assert [name for name in GENERATORS if walk.applied[name] < MIN_APPLIED] == []
    untouched = [kind for kind, found in synced_kinds().items() if queues(found) and kind not in walk.kinds]
    assert untouched == [], "kinds of rows that no command of the walk has touched"
    assert ("start_run", "run_over") in walk.refused
    assert walk.refused.total() < walk.steps / 5


def report(walk: ReplayComparison) -> None:
    """Write a report to the file named by `DRAWBAR_REPLAYS_REPORT`, for fixing a difference."""
    if REPORT is None:
        return
    seen: dict[tuple[str, str, str], list[Difference]] = {}
    for difference in walk.differences:
        seen.setdefault(difference[:3], []).append(difference)
    lines = [
        f"applied {walk.applied.total()}, refused {walk.refused.most_common()}",
        f"seldom {sorted((walk.applied[name], name) for name in GENERATORS)[:20]}",
        f"clashes {walk.clashes}",
        f"not needed {walk.not_needed()}",
        *(f"{len(all_of)} {key}: server {all_of[0][3]} | phone {all_of[0][4]}" for key, all_of in sorted(seen.items())),
    ]
    Path(REPORT).write_text("\n".join(lines))
