"""Random work by several phones, drawn from a seed."""

import random
from datetime import timedelta
from typing import Any

from tests.sync import scenario
from tests.sync.conftest import SHOP
from tests.sync.simulated_phone import SimulatedPhone

NEXT = {
    "intake": ["diagnosis", "repair"],
    "diagnosis": ["repair", "testing"],
    "repair": ["diagnosis", "testing"],
    "testing": ["repair", "ready"],
    "ready": ["repair", "returned"],
}


class RandomWork:
    """Random work by several phones, each based on the rows it has pulled."""

    def __init__(self, phones: list[SimulatedPhone], seed: int) -> None:
        self.phones, self.rng = phones, random.Random(seed)  # noqa: S311
        self.draft: list[scenario.QuoteDraft] = []
        # Two runs of one seed write the same times.
        self.began = scenario.TODAY

    def act(self, phone: SimulatedPhone) -> None:
        self.rng.choice(self.acts)(self, phone)

    def run_steps(self, steps: int) -> None:
        for _ in range(steps):
            phone = self.rng.choice(self.phones)
            self.act(phone)
            if self.rng.random() < 0.7:
                phone.sync()

    def pick(self, phone: SimulatedPhone, kind: str) -> dict[str, Any] | None:
        rows = phone.rows(kind)
        return rows[self.rng.choice(sorted(rows))] if rows else None

    def open_job(self, phone: SimulatedPhone) -> None:
        known = self.pick(phone, "customer")
        customer_id = known["id"] if known else scenario.create_row(phone, "add_customer", name="Ada")
        machine_id = scenario.create_row(phone, "add_machine", customer_id=customer_id, kind="mower")
        scenario.create_row(phone, "open_job", customer_id=customer_id, machine_id=machine_id, mark=f"{phone.letter}-1")

    def add_customer(self, phone: SimulatedPhone) -> None:
        scenario.create_row(phone, "add_customer", name="x" * 121 if self.rng.random() < 0.3 else "Customer")

    def edit(self, phone: SimulatedPhone) -> None:
        kind, field = self.rng.choice([("customer", "notes"), ("customer", "phone"), ("job", "notes")])
        if row := self.pick(phone, kind):
            wanted = f"{phone.letter}{self.rng.randrange(3)}" if self.rng.random() < 0.8 else ""
            phone.write(f"edit_{kind}", id=row["id"], base={field: row[field]}, set={field: wanted})

    def move_job(self, phone: SimulatedPhone) -> None:
        if row := self.pick(phone, "job"):
            phone.write("move_job", id=row["id"], stage=self.rng.choice(NEXT.get(row["stage"], ["returned"])))

    def record_finding(self, phone: SimulatedPhone) -> None:
        if row := self.pick(phone, "job"):
            scenario.create_row(phone, "record_finding", job_id=row["id"], words="Loose belt", rank="needed")

    def remove_finding(self, phone: SimulatedPhone) -> None:
        if row := self.pick(phone, "finding"):
            phone.write("remove_finding", id=row["id"])

    def draft_quote(self, phone: SimulatedPhone) -> None:
        if row := self.pick(phone, "job"):
            draft = scenario.start_quote(phone, row["id"], customer="As shown", machine="mower")
            scenario.add_line(phone, draft, 1000)
            self.draft.append(draft)

    def continue_quote(self, phone: SimulatedPhone) -> None:
        """Another line, the offer, the decision: each may come from another phone than the draft."""
        if known := [draft for draft in self.draft if draft.id in phone.rows("quote")]:
            draft = self.rng.choice(known)
            if phone.rows("quote")[draft.id]["state"] == "offered":
                scenario.decide_quote(phone, draft, 1)
            elif self.rng.random() < 0.5:
                scenario.add_line(phone, draft, 500)
            else:
                scenario.offer_quote(phone, draft, shop=SHOP)

    def clock(self, phone: SimulatedPhone) -> None:
        # The times of a phone whose clock is wrong are estimates, so they differ between two runs.
        if phone.clocks is not None:
            return
        running = sorted(row_id for row_id, row in phone.rows("time_entry").items() if row["ended_at"] is None)
        moment = (self.began - timedelta(minutes=self.rng.randrange(600))).isoformat()
        if running:
            phone.write("stop_clock", id=self.rng.choice(running), ended_at=moment)
        elif row := self.pick(phone, "job"):
            scenario.create_row(phone, "start_clock", kind="repair", job_id=row["id"], started_at=moment)

    def settle_issue(self, phone: SimulatedPhone) -> None:
        open_ones = [row for row in phone.rows("issue").values() if row["state"] == "open" and row["command_id"]]
        # Their own ids are the server's, and others in each run.
        open_ones.sort(key=lambda row: str(row["command_id"]))
        if open_ones:
            choice = self.rng.choice(["theirs", "ours"])
            phone.write("settle_issue", id=self.rng.choice(open_ones)["id"], choice=choice)

    acts = (
        open_job,
        add_customer,
        edit,
        edit,
        edit,
        move_job,
        move_job,
        record_finding,
        remove_finding,
        draft_quote,
        continue_quote,
        continue_quote,
        clock,
        settle_issue,
    )
