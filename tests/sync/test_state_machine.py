"""A Hypothesis state machine: random commands from three phones over a failing network and a killed server.

`DRAWBAR_TORTURE=200` runs that many examples, longer and different each time.
"""

import contextlib
import os
import random
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from itertools import count, cycle, islice
from typing import Any, ClassVar
from uuid import UUID

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from shopapi.core.clock import now
from shopapi.core.resources import all_resources
from shopapi.sync.services.push import PUSH_COMMANDS
from tests.factories.examples import Scene, commands
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite
from tests.sync import invariants, scenario
from tests.sync.conftest import SHOP, SyncShop, create_shop
from tests.sync.rest_vs_push import assert_rest_equals_push
from tests.sync.simulated_phone import ConnectionLost, HttpTransport, OutboxEntry, SimulatedPhone

EXTRA_EXAMPLES = int(os.environ.get("DRAWBAR_TORTURE", "0"))
PHONE_INDEX = st.integers(0, 2)
PICK = st.integers(0, 999)
STAGES = ("diagnosis", "repair", "testing", "ready", "returned", "closed", "cancelled")
# Ids are unique per installation: every example draws its own.
seeds = count(1000)
# Every command that a phone may queue, by its resource: none is left out of the histories.
QUEUED = {name: resource.kind for name, (resource, _) in commands().items() if name in PUSH_COMMANDS}
# What only the server makes.
WITHOUT_COMMANDS = [resource.kind for resource in all_resources() if resource.synced and not resource.commands]
EXAMPLES = EXTRA_EXAMPLES or 5
# So many of them at least in each history.
SHARE = -(-len(QUEUED) // 5)


class SyncStateMachine(RuleBasedStateMachine):
    """Two phones of the owner and one of a mechanic, behind a flaky proxy and a server that is killed.

    They know some ids of another shop, whose rows must not change (I12).
    """

    site: ClassVar[LiveSite]
    proxy: ClassVar[FlakyProxy]
    # How often I6 and I7 compared anything: a check that never ran would pass too.
    compared_count: ClassVar[int] = 0
    checked_count: ClassVar[int] = 0
    names: ClassVar[Iterator[str]] = cycle(sorted(QUEUED))
    # The resources of which a command was applied, and those of which phones had rows.
    applied_kinds: ClassVar[set[str]] = set()
    seen_kinds: ClassVar[set[str]] = set()

    def __init__(self) -> None:
        super().__init__()
        self.site.start()
        self.proxy.open()
        self.shop, other_shop = create_shop(), create_shop()
        self.other_shop_id = other_shop.id
        stranger = SimulatedPhone(HttpTransport(self.site.port, other_shop.owner_key), random.Random(next(seeds)))  # noqa: S311
        theirs = scenario.record_visit(stranger, shop=SHOP)
        stranger.sync()
        self.other_shop_hash = invariants.content_hash(self.other_shop_id)
        self.keys = (self.shop.owner_key, self.shop.owner_key, self.shop.mechanic_key)
        self.phones = [
            SimulatedPhone(HttpTransport(self.proxy.port, key, timeout=10), random.Random(next(seeds)))  # noqa: S311
            for key in self.keys
        ]
        for phone in self.phones:
            phone.register()
        self.cursors: list[str | None] = [None, None, None]
        # Ids known to any of the phones, sent or not, and ids of another shop.
        first = scenario.record_visit(self.phones[0], shop=SHOP)
        self.made: dict[str, list[str]] = {
            "customer": [first.customer_id, theirs.customer_id],
            "site": [first.site_id, theirs.site_id],
            "machine": [first.machine_id, theirs.machine_id],
            "job": [first.job_id, theirs.job_id],
            "finding": [first.finding_id, theirs.finding_id],
            "time_entry": [],
        }
        self.theirs = [known[1] for known in self.made.values() if known]
        self.owner_of = {first.machine_id: first.customer_id}
        self.quotes = [first.quote]
        self.written = [entry.id for entry in self.phones[0].outbox]
        # Commands of `write_of_every_kind`; `test_every_command.py` compares those by REST and by push.
        self.examples: set[str] = set()

    def write(self, who: int, command: str, /, **args: Any) -> None:
        self.written.append(self.phones[who].write(command, **args).id)

    def make(self, who: int, kind: str, command: str, /, **args: Any) -> str:
        row_id = self.phones[who].new_id()
        self.write(who, command, id=row_id, **args)
        self.made[kind].append(row_id)
        return row_id

    def some(self, kind: str, pick: int) -> str:
        """The id of a row of a kind that a phone created, or an unknown id."""
        known = self.made[kind]
        return known[pick % len(known)] if known else self.phones[0].new_id()

    # Commands that people write

    @rule(who=PHONE_INDEX, pick=PICK, poison=st.booleans())
    def add_customer(self, who: int, pick: int, *, poison: bool) -> None:
        name = "x" * 121 if poison and pick % 4 == 0 else f"Customer {pick}"
        self.make(who, "customer", "add_customer", name=name)

    @rule(who=PHONE_INDEX, pick=PICK)
    def correct_customer(self, who: int, pick: int) -> None:
        """The same id again with a valid name: applied if the first was rejected, else rejected."""
        self.write(who, "add_customer", id=self.some("customer", pick), name="Corrected")

    @rule(who=PHONE_INDEX, pick=PICK, field=st.sampled_from(["notes", "phone", "name"]))
    def edit_customer(self, who: int, pick: int, field: str) -> None:
        customer_id = self.some("customer", pick)
        seen = self.phones[who].rows("customer").get(customer_id, {}).get(field, "")
        self.write(who, "edit_customer", id=customer_id, base={field: seen}, set={field: f"{who}-{pick}"})

    @rule(who=PHONE_INDEX, pick=PICK)
    def add_machine_with_reading(self, who: int, pick: int) -> None:
        customer_id = self.some("customer", pick)
        self.make(who, "site", "add_site", customer_id=customer_id, label="Barn", lat="43.5", lon="-116.25")
        machine_id = self.make(who, "machine", "add_machine", customer_id=customer_id, kind="mower")
        self.owner_of[machine_id] = customer_id
        reading = self.phones[who].new_id()
        self.write(who, "record_meter", id=reading, machine_id=machine_id, hours=f"{pick}.5", read_on="2026-05-01")

    @rule(who=PHONE_INDEX, pick=PICK)
    def open_job(self, who: int, pick: int) -> None:
        machine_id = self.some("machine", pick)
        customer_id = self.owner_of.get(machine_id) or self.some("customer", pick)
        job_id = self.make(who, "job", "open_job", customer_id=customer_id, machine_id=machine_id, mark=f"m-{pick}")
        self.write(who, "add_complaint", id=self.phones[who].new_id(), job_id=job_id, words="It stalls")

    @rule(who=PHONE_INDEX, pick=PICK)
    def record_finding(self, who: int, pick: int) -> None:
        job_id = self.some("job", pick)
        self.make(who, "finding", "record_finding", job_id=job_id, words=f"Fault {pick}", rank="needed")

    @rule(who=PHONE_INDEX, pick=PICK, stage=st.sampled_from(STAGES))
    def move_job(self, who: int, pick: int, stage: str) -> None:
        self.write(who, "move_job", id=self.some("job", pick), stage=stage)

    @rule(who=PHONE_INDEX, pick=PICK, kind=st.sampled_from(["customer", "site", "machine", "finding"]))
    def remove(self, who: int, pick: int, kind: str) -> None:
        self.write(who, f"remove_{kind}", id=self.some(kind, pick))

    @rule(who=PHONE_INDEX, pick=PICK)
    def add_then_remove_customer(self, who: int, pick: int) -> None:
        """A row that another phone has pulled is removed: that phone must drop it."""
        customer_id = self.make(who, "customer", "add_customer", name=f"Passing by {pick}")
        self.sync(who)
        self.pull((who + 1) % 3)
        self.write(who, "remove_customer", id=customer_id)
        self.sync(who)
        self.pull((who + 1) % 3)

    @rule(who=PHONE_INDEX, pick=PICK, lines=st.integers(1, 3), revises=st.booleans())
    def offer_quote(self, who: int, pick: int, lines: int, *, revises: bool) -> None:
        phone = self.phones[who]
        before = self.quotes[pick % len(self.quotes)] if revises and self.quotes else None
        first = len(phone.outbox)
        job_id = before.job_id if before else self.some("job", pick)
        draft = scenario.start_quote(phone, job_id, customer="As shown", machine="mower", replaces=before)
        for nth in range(lines):
            scenario.add_line(phone, draft, 100 * pick + nth)
        scenario.offer_quote(phone, draft, shop=SHOP)
        self.quotes.append(draft)
        self.written += [entry.id for entry in phone.outbox[first:]]

    @rule(who=PHONE_INDEX, pick=PICK, accepted=st.integers(0, 3), tampered=st.booleans())
    def decide_quote(self, who: int, pick: int, accepted: int, *, tampered: bool) -> None:
        if self.quotes:
            draft = self.quotes[pick % len(self.quotes)]
            shown = "0" * 64 if tampered else None
            self.written.append(scenario.decide_quote(self.phones[who], draft, accepted, shown=shown).id)

    @rule(who=PHONE_INDEX, pick=PICK, choice=st.sampled_from(["theirs", "ours"]))
    def settle_issue(self, who: int, pick: int, choice: str) -> None:
        issues = sorted(self.phones[who].rows("issue"))
        if issues:
            self.write(who, "settle_issue", id=issues[pick % len(issues)], choice=choice)

    @rule(
        who=PHONE_INDEX, pick=PICK, kind=st.sampled_from(["repair", "diagnosis", "errand", "shop"]), seen=st.booleans()
    )
    def start_clock(self, who: int, pick: int, kind: str, *, seen: bool) -> None:
        """A clock started up to a day ago; `seen`: it ends the entries that this phone shows as running."""
        running = [row_id for row_id, row in self.phones[who].rows("time_entry").items() if row["ended_at"] is None]
        started_at = now() - timedelta(minutes=pick)
        job_id = self.some("job", pick) if kind in ("repair", "diagnosis") else None
        self.make(
            who,
            "time_entry",
            "start_clock",
            kind=kind,
            job_id=job_id,
            started_at=started_at.isoformat(),
            ends_ids=running if seen else [],
        )

    @rule(who=PHONE_INDEX, pick=PICK)
    def stop_clock(self, who: int, pick: int) -> None:
        ended_at = now() - timedelta(minutes=pick % 300)
        self.write(who, "stop_clock", id=self.some("time_entry", pick), ended_at=ended_at.isoformat())

    @rule(who=PHONE_INDEX, pick=PICK, drops=st.booleans())
    def settle_entries(self, who: int, pick: int, *, drops: bool) -> None:
        entries = sorted(self.phones[who].rows("time_entry"))
        if drops or len(entries) < 2:
            self.write(who, "drop_entry", id=self.some("time_entry", pick), reason="A slip of the thumb")
        else:
            one, other = entries[pick % len(entries)], entries[(pick + 1) % len(entries)]
            self.write(who, "settle_entries", id=one, other_id=other)

    @rule(who=st.integers(0, 1), many=st.integers(1, 12))
    def write_of_every_kind(self, who: int, many: int) -> None:
        """The next commands of the catalog on a phone of the owner, about rows of their own."""
        scene = Scene(replace(self.shop.owner, device_id=UUID(self.phones[who].id)))
        for name in islice(type(self).names, many):
            self.write(who, name, **scene.example(name))
            self.examples.add(self.written[-1])

    # Pushes, pulls and failures

    def ignore_lost_connection(self, act: Callable[[], Any]) -> None:
        with contextlib.suppress(ConnectionLost):
            act()

    @rule(who=PHONE_INDEX)
    def sync(self, who: int) -> None:
        phone = self.phones[who]
        self.ignore_lost_connection(phone.sync)

    @rule(who=PHONE_INDEX)
    def pull(self, who: int) -> None:
        self.ignore_lost_connection(self.phones[who].pull)

    @rule(who=PHONE_INDEX, most=st.integers(1, 60))
    def push_some(self, who: int, most: int) -> None:
        phone = self.phones[who]
        self.ignore_lost_connection(lambda: phone.push_entries(phone.unsent()[:most]))

    @rule(who=PHONE_INDEX, back=st.integers(0, 40), most=st.integers(1, 40))
    def push_again(self, who: int, back: int, most: int) -> None:
        phone = self.phones[who]
        start = max(len(phone.outbox) - back, 0)
        self.ignore_lost_connection(lambda: phone.push_entries(phone.outbox[start : start + most]))

    @rule(who=PHONE_INDEX, most=st.integers(1, 12))
    def compare_rest_and_push(self, who: int, most: int) -> None:
        """I6: the next commands, each by REST and by push from the same state."""
        phone = self.phones[who]
        for entry in phone.unsent()[:most]:
            if entry.id in self.examples:
                return
            self.ignore_lost_connection(lambda entry=entry: self.compare_entry(who, entry))  # type: ignore[misc] # mypy does not infer lambdas with defaults

    def compare_entry(self, who: int, entry: OutboxEntry) -> None:
        type(self).compared_count += assert_rest_equals_push(self.shop.id, self.keys[who], self.phones[who], entry)

    @rule(who=PHONE_INDEX, size=st.integers(1, 20))
    def push_in_reverse(self, who: int, size: int) -> None:
        phone = self.phones[who]
        waiting = phone.unsent()[:100]
        batches = [waiting[n : n + size] for n in range(0, len(waiting), size)]
        for batch in reversed(batches):
            self.ignore_lost_connection(lambda batch=batch: phone.push_entries(batch))  # type: ignore[misc] # mypy does not infer lambdas with defaults

    @rule(who=PHONE_INDEX, after=st.integers(0, 3000), way=st.sampled_from(["up", "down"]))
    def cut_connection(self, who: int, after: int, way: Any) -> None:
        phone = self.phones[who]
        self.proxy.cut_after(after, way)
        self.ignore_lost_connection(lambda: phone.push_entries(phone.unsent()[:100]))
        self.ignore_lost_connection(phone.pull)
        self.proxy.open()

    @rule(who=PHONE_INDEX, delay=st.floats(0.001, 0.03))
    def sync_over_slow_connection(self, who: int, delay: float) -> None:
        self.proxy.open(delay=delay)
        self.ignore_lost_connection(self.phones[who].sync)
        self.proxy.open()

    @rule()
    def sync_concurrently(self) -> None:
        threads = [threading.Thread(target=self.ignore_lost_connection, args=(phone.sync,)) for phone in self.phones]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()

    @rule(who=PHONE_INDEX, wait=st.floats(0, 0.25))
    def kill_server(self, who: int, wait: float) -> None:
        phone = self.phones[who]
        # Something is always being pushed when the server is killed.
        for nth in range(6):
            self.make(who, "customer", "add_customer", name=f"Under way {nth}")
        sending = threading.Thread(target=self.ignore_lost_connection, args=(phone.sync,))
        sending.start()
        time.sleep(wait)
        self.site.kill()
        sending.join()
        self.site.start()

    # Invariants after every step

    @invariant()
    def phones_are_consistent_at_cursor(self) -> None:
        """I7, for each phone whose cursor moved in the last step."""
        for who, phone in enumerate(self.phones):
            if phone.cursor is not None and phone.cursor != self.cursors[who]:
                # If the connection is lost, it is checked after the next step.
                self.ignore_lost_connection(lambda who=who: self.check_phone(who))  # type: ignore[misc] # mypy does not infer lambdas with defaults

    def check_phone(self, who: int) -> None:
        phone = self.phones[who]
        invariants.assert_consistent_at_cursor(phone, self.shop.id)
        self.cursors[who] = phone.cursor
        type(self).checked_count += 1

    # At the end

    def teardown(self) -> None:
        self.proxy.open()
        self.site.start()
        for who in (0, 2):
            self.phones[who].sync()
            self.open_job(who, 0)
            self.add_machine_with_reading(who, 0)
            self.edit_customer(who, 0, "notes")
            self.compare_rest_and_push(who, 6)
        self.write_of_every_kind(0, SHARE)
        scene = Scene(self.shop.owner)
        for kind in WITHOUT_COMMANDS:
            scene.the(kind)
        for _ in range(2):
            for phone in self.phones:
                phone.sync()
        shop: SyncShop = self.shop
        invariants.assert_server_invariants(shop.id, others=self.theirs)
        faults = invariants.query("SELECT name, words FROM sync_loggedcommand WHERE code = 'internal'")
        assert faults == []
        invariants.assert_no_command_lost(shop.id, self.phones, self.written)
        owners, second, mechanic = self.phones
        assert owners.base == second.base
        # A mechanic sees only their own entries without a job, and some kinds not at all.
        assert mechanic.base.keys() <= owners.base.keys()
        work = self.made.keys() - {"time_entry"}
        assert [key for key in owners.base.keys() - mechanic.base.keys() if key[0] in work] == []
        self.note_kinds(owners)
        for phone in self.phones:
            assert not phone.unsent()
            assert all(entry.acked for entry in phone.outbox)
            assert not phone.former_device_ids
            invariants.assert_equals_snapshot(phone)
        held = invariants.content_hash(shop.id)
        for phone in self.phones:
            for start in range(0, len(phone.outbox), 100):
                assert phone.push_entries(phone.outbox[start : start + 100]).status == 200
            assert all(entry.outcome and entry.outcome["status"] == "duplicate" for entry in phone.outbox)
        assert invariants.content_hash(shop.id) == held
        assert invariants.content_hash(self.other_shop_id) == self.other_shop_hash

    def note_kinds(self, phone: SimulatedPhone) -> None:
        self.seen_kinds.update(kind for kind, _ in phone.base)
        applied = invariants.query("SELECT DISTINCT name FROM sync_loggedcommand WHERE status = 'applied'")
        self.applied_kinds.update(QUEUED[name] for (name,) in applied)


def test_sync_state_machine(live_site: LiveSite, proxy: FlakyProxy) -> None:
    SyncStateMachine.site, SyncStateMachine.proxy = live_site, proxy
    run_state_machine_as_test(
        SyncStateMachine,
        settings=settings(
            max_examples=EXAMPLES,
            stateful_step_count=80 if EXTRA_EXAMPLES else 30,
            derandomize=not EXTRA_EXAMPLES,
            deadline=None,
            # Shrinking takes seconds per attempt: only for a person looking for a bug.
            phases=tuple(Phase) if EXTRA_EXAMPLES else (Phase.generate,),
            report_multiple_bugs=False,
            database=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
    assert SyncStateMachine.compared_count
    assert SyncStateMachine.checked_count
    # Derived from the declarations: a new resource is part of the histories, or this fails.
    assert set(QUEUED.values()) - SyncStateMachine.applied_kinds == set()
    assert {resource.kind for resource in all_resources() if resource.synced} - SyncStateMachine.seen_kinds == set()
