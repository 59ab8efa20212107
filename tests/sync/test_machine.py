"""Phones in a valley: whatever people write and however the line and the server fail, all ends well.

Hypothesis draws the days; `DRAWBAR_TORTURE=200` draws that many, longer and new ones each time.
"""

import contextlib
import os
import random
import threading
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from itertools import count
from typing import Any, ClassVar

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from tests.line import Line
from tests.site import LiveSite
from tests.sync import story, truth
from tests.sync.conftest import SHOP, House, open_house
from tests.sync.phone import Entry, NoAnswer, Phone, Wire
from tests.sync.ways import assert_both_ways_agree

LONG = int(os.environ.get("DRAWBAR_TORTURE", "0"))
WHO = st.integers(0, 2)
PICK = st.integers(0, 999)
STAGES = ("diagnosis", "repair", "proving", "ready", "returned", "closed", "cancelled")
# Ids are one to an installation: every day draws its own.
days = count(1000)


class Valley(RuleBasedStateMachine):
    """Two phones of the owner and one of a mechanic, on a line that fails and a server that is killed.

    They know some ids of another shop, which nothing of this may touch (I12).
    """

    site: ClassVar[LiveSite]
    line: ClassVar[Line]
    # How often I6 and I7 had something to compare: a check that never ran would hold too.
    both_ways: ClassVar[int] = 0
    looked_at: ClassVar[int] = 0

    def __init__(self) -> None:
        super().__init__()
        self.site.start()
        self.line.open()
        self.house, bystander = open_house(), open_house()
        self.bystander = bystander.id
        stranger = Phone(Wire(self.site.port, bystander.owner_key), random.Random(next(days)))  # noqa: S311
        theirs = story.visit(stranger, shop=SHOP)
        stranger.sync()
        self.bystander_held = truth.content(self.bystander)
        self.keys = (self.house.owner_key, self.house.owner_key, self.house.mechanic_key)
        self.phones = [Phone(Wire(self.line.port, key, timeout=10), random.Random(next(days))) for key in self.keys]  # noqa: S311
        for phone in self.phones:
            phone.register()
        self.cursors: list[str | None] = [None, None, None]
        # Ids as people on any of the phones know them, whether they have been sent or not; and those of another shop.
        first = story.visit(self.phones[0], shop=SHOP)
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
        self.drawn = [first.quote]
        self.written = [entry.id for entry in self.phones[0].outbox]

    def write(self, who: int, command: str, /, **args: Any) -> None:
        self.written.append(self.phones[who].write(command, **args).id)

    def make(self, who: int, kind: str, command: str, /, **args: Any) -> str:
        row_id = self.phones[who].mint()
        self.write(who, command, id=row_id, **args)
        self.made[kind].append(row_id)
        return row_id

    def some(self, kind: str, pick: int) -> str:
        """A row of a kind that someone has made, or one that nobody knows."""
        known = self.made[kind]
        return known[pick % len(known)] if known else self.phones[0].mint()

    # What people write

    @rule(who=WHO, pick=PICK, poison=st.booleans())
    def add_customer(self, who: int, pick: int, *, poison: bool) -> None:
        name = "x" * 121 if poison and pick % 4 == 0 else f"Customer {pick}"
        self.make(who, "customer", "add_customer", name=name)

    @rule(who=WHO, pick=PICK)
    def mend_customer(self, who: int, pick: int) -> None:
        """The same id again under a good name: applied where the first was refused, refused where it was not."""
        self.write(who, "add_customer", id=self.some("customer", pick), name="Mended")

    @rule(who=WHO, pick=PICK, field=st.sampled_from(["notes", "phone", "name"]))
    def edit_customer(self, who: int, pick: int, field: str) -> None:
        customer_id = self.some("customer", pick)
        seen = self.phones[who].rows("customer").get(customer_id, {}).get(field, "")
        self.write(who, "edit_customer", id=customer_id, base={field: seen}, set={field: f"{who}-{pick}"})

    @rule(who=WHO, pick=PICK)
    def add_machine_with_reading(self, who: int, pick: int) -> None:
        customer_id = self.some("customer", pick)
        self.make(who, "site", "add_site", customer_id=customer_id, label="Barn", lat="43.5", lon="-116.25")
        machine_id = self.make(who, "machine", "add_machine", customer_id=customer_id, kind="mower")
        self.owner_of[machine_id] = customer_id
        reading = self.phones[who].mint()
        self.write(who, "record_meter", id=reading, machine_id=machine_id, hours=f"{pick}.5", read_on="2026-05-01")

    @rule(who=WHO, pick=PICK)
    def open_job(self, who: int, pick: int) -> None:
        machine_id = self.some("machine", pick)
        customer_id = self.owner_of.get(machine_id) or self.some("customer", pick)
        job_id = self.make(who, "job", "open_job", customer_id=customer_id, machine_id=machine_id, mark=f"m-{pick}")
        self.write(who, "add_complaint", id=self.phones[who].mint(), job_id=job_id, words="It stalls")

    @rule(who=WHO, pick=PICK)
    def find(self, who: int, pick: int) -> None:
        job_id = self.some("job", pick)
        self.make(who, "finding", "record_finding", job_id=job_id, words=f"Fault {pick}", rank="needed")

    @rule(who=WHO, pick=PICK, stage=st.sampled_from(STAGES))
    def move_job(self, who: int, pick: int, stage: str) -> None:
        self.write(who, "move_job", id=self.some("job", pick), stage=stage)

    @rule(who=WHO, pick=PICK, kind=st.sampled_from(["customer", "site", "machine", "finding"]))
    def remove(self, who: int, pick: int, kind: str) -> None:
        self.write(who, f"remove_{kind}", id=self.some(kind, pick))

    @rule(who=WHO, pick=PICK)
    def come_and_go(self, who: int, pick: int) -> None:
        """A row that another phone has seen is removed: it must be told, and forget it."""
        customer_id = self.make(who, "customer", "add_customer", name=f"Passing by {pick}")
        self.sync(who)
        self.pull((who + 1) % 3)
        self.write(who, "remove_customer", id=customer_id)
        self.sync(who)
        self.pull((who + 1) % 3)

    @rule(who=WHO, pick=PICK, lines=st.integers(1, 3), revises=st.booleans())
    def offer(self, who: int, pick: int, lines: int, *, revises: bool) -> None:
        phone = self.phones[who]
        before = self.drawn[pick % len(self.drawn)] if revises and self.drawn else None
        first = len(phone.outbox)
        job_id = before.job_id if before else self.some("job", pick)
        drawn = story.begin_quote(phone, job_id, customer="As shown", machine="mower", replaces=before)
        for nth in range(lines):
            story.put_line(phone, drawn, 100 * pick + nth)
        story.offer(phone, drawn, shop=SHOP)
        self.drawn.append(drawn)
        self.written += [entry.id for entry in phone.outbox[first:]]

    @rule(who=WHO, pick=PICK, accepted=st.integers(0, 3), tampered=st.booleans())
    def decide(self, who: int, pick: int, accepted: int, *, tampered: bool) -> None:
        if self.drawn:
            drawn = self.drawn[pick % len(self.drawn)]
            shown = "0" * 64 if tampered else None
            self.written.append(story.decide(self.phones[who], drawn, accepted, shown=shown).id)

    @rule(who=WHO, pick=PICK, choice=st.sampled_from(["theirs", "ours"]))
    def settle(self, who: int, pick: int, choice: str) -> None:
        issues = sorted(self.phones[who].rows("issue"))
        if issues:
            self.write(who, "settle_issue", id=issues[pick % len(issues)], choice=choice)

    @rule(who=WHO, pick=PICK, kind=st.sampled_from(["repair", "diagnosis", "errand", "shop"]), seen=st.booleans())
    def start_clock(self, who: int, pick: int, kind: str, *, seen: bool) -> None:
        """A clock started up to a day ago; `seen`: what this phone shows as running ends with it."""
        running = [row_id for row_id, row in self.phones[who].rows("time_entry").items() if row["ended_at"] is None]
        started_at = datetime.now(UTC) - timedelta(minutes=pick)
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

    @rule(who=WHO, pick=PICK)
    def stop_clock(self, who: int, pick: int) -> None:
        ended_at = datetime.now(UTC) - timedelta(minutes=pick % 300)
        self.write(who, "stop_clock", id=self.some("time_entry", pick), ended_at=ended_at.isoformat())

    @rule(who=WHO, pick=PICK, drops=st.booleans())
    def settle_clocks(self, who: int, pick: int, *, drops: bool) -> None:
        entries = sorted(self.phones[who].rows("time_entry"))
        if drops or len(entries) < 2:
            self.write(who, "drop_entry", id=self.some("time_entry", pick), reason="A slip of the thumb")
        else:
            one, other = entries[pick % len(entries)], entries[(pick + 1) % len(entries)]
            self.write(who, "settle_entries", id=one, other_id=other)

    # How it is sent

    def attempt(self, act: Callable[[], Any]) -> None:
        with contextlib.suppress(NoAnswer):
            act()

    @rule(who=WHO)
    def sync(self, who: int) -> None:
        phone = self.phones[who]
        self.attempt(phone.sync)

    @rule(who=WHO)
    def pull(self, who: int) -> None:
        self.attempt(self.phones[who].pull)

    @rule(who=WHO, most=st.integers(1, 60))
    def push_a_part(self, who: int, most: int) -> None:
        phone = self.phones[who]
        self.attempt(lambda: phone.push_raw(phone.unsent()[:most]))

    @rule(who=WHO, back=st.integers(0, 40), most=st.integers(1, 40))
    def push_again(self, who: int, back: int, most: int) -> None:
        phone = self.phones[who]
        start = max(len(phone.outbox) - back, 0)
        self.attempt(lambda: phone.push_raw(phone.outbox[start : start + most]))

    @rule(who=WHO, most=st.integers(1, 12))
    def send_both_ways(self, who: int, most: int) -> None:
        """I6: the next commands, each over REST and by push from the same state."""
        phone = self.phones[who]
        for entry in phone.unsent()[:most]:
            self.attempt(lambda entry=entry: self.compare_ways(who, entry))  # type: ignore[misc]

    def compare_ways(self, who: int, entry: Entry) -> None:
        type(self).both_ways += assert_both_ways_agree(self.house.id, self.keys[who], self.phones[who], entry)

    @rule(who=WHO, size=st.integers(1, 20))
    def push_backwards(self, who: int, size: int) -> None:
        phone = self.phones[who]
        waiting = phone.unsent()[:100]
        batches = [waiting[n : n + size] for n in range(0, len(waiting), size)]
        for batch in reversed(batches):
            self.attempt(lambda batch=batch: phone.push_raw(batch))  # type: ignore[misc]

    @rule(who=WHO, after=st.integers(0, 3000), way=st.sampled_from(["up", "down"]))
    def lose_the_line(self, who: int, after: int, way: Any) -> None:
        phone = self.phones[who]
        self.line.cut_after(after, way)
        self.attempt(lambda: phone.push_raw(phone.unsent()[:100]))
        self.attempt(phone.pull)
        self.line.open()

    @rule(who=WHO, delay=st.floats(0.001, 0.03))
    def on_a_slow_line(self, who: int, delay: float) -> None:
        self.line.open(delay=delay)
        self.attempt(self.phones[who].sync)
        self.line.open()

    @rule()
    def all_at_once(self) -> None:
        threads = [threading.Thread(target=self.attempt, args=(phone.sync,)) for phone in self.phones]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()

    @rule(who=WHO, wait=st.floats(0, 0.25))
    def kill_the_server(self, who: int, wait: float) -> None:
        phone = self.phones[who]
        # Something is always under way when the server goes.
        for nth in range(6):
            self.make(who, "customer", "add_customer", name=f"Under way {nth}")
        sending = threading.Thread(target=self.attempt, args=(phone.sync,))
        sending.start()
        time.sleep(wait)
        self.site.kill()
        sending.join()
        self.site.start()

    # What holds after every step

    @invariant()
    def every_phone_is_true_at_its_cursor(self) -> None:
        """I7, for each phone that has pulled something in the step behind."""
        for who, phone in enumerate(self.phones):
            if phone.cursor is not None and phone.cursor != self.cursors[who]:
                # With no answer it is looked at after the next step.
                self.attempt(lambda who=who: self.look_at(who))  # type: ignore[misc]

    def look_at(self, who: int) -> None:
        phone = self.phones[who]
        truth.assert_true_at_its_cursor(phone, self.house.id)
        self.cursors[who] = phone.cursor
        type(self).looked_at += 1

    # How it must end

    def teardown(self) -> None:
        self.line.open()
        self.site.start()
        for who in (0, 2):
            self.phones[who].sync()
            self.open_job(who, 0)
            self.add_machine_with_reading(who, 0)
            self.edit_customer(who, 0, "notes")
            self.send_both_ways(who, 6)
        for _ in range(2):
            for phone in self.phones:
                phone.sync()
        house: House = self.house
        truth.assert_sound(house.id, others=self.theirs)
        faults = truth.ask("SELECT name, words FROM sync_loggedcommand WHERE code = 'internal'")
        assert faults == []
        truth.assert_nothing_lost(house.id, self.phones, self.written)
        owners, second, mechanic = self.phones
        assert owners.base == second.base
        # Of time that is on no job a mechanic sees their own alone.
        assert {key for key in owners.base if key[0] != "time_entry"} == {
            key for key in mechanic.base if key[0] != "time_entry"
        }
        for phone in self.phones:
            assert not phone.unsent()
            assert all(entry.acked for entry in phone.outbox)
            assert not phone.earlier_ids
            truth.assert_shows_everything(phone)
        held = truth.content(house.id)
        for phone in self.phones:
            for start in range(0, len(phone.outbox), 100):
                assert phone.push_raw(phone.outbox[start : start + 100]).status == 200
            assert all(entry.outcome and entry.outcome["status"] == "duplicate" for entry in phone.outbox)
        assert truth.content(house.id) == held
        assert truth.content(self.bystander) == self.bystander_held


def test_valley(live_site: LiveSite, line: Line) -> None:
    Valley.site, Valley.line = live_site, line
    run_state_machine_as_test(  # type: ignore[no-untyped-call]
        Valley,
        settings=settings(
            max_examples=LONG or 5,
            stateful_step_count=80 if LONG else 30,
            derandomize=not LONG,
            deadline=None,
            # Each attempt at a smaller day takes seconds: worth it to a person who looks for a fault.
            phases=tuple(Phase) if LONG else (Phase.generate,),
            report_multiple_bugs=False,
            database=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
    assert Valley.both_ways
    assert Valley.looked_at
