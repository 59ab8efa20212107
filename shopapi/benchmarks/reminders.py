"""`benchmark reminders`: the sweep of follow-ups in a shop with very many open ones."""

import time
from datetime import timedelta

from django.db import connection

from shopapi.accounts.rules import FirstShop
from shopapi.benchmarks.recorder import PASSWORD, Recorder
from shopapi.core.clock import held_at, now
from shopapi.core.feed import lock_shop
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.customers.rules.customer import NewCustomer
from shopapi.customers.services import add_customer
from shopapi.machines.rules import NewMachine
from shopapi.machines.services import add_machine
from shopapi.quotes.services.shop import open_shop
from shopapi.reminders.services import SweepResult, sweep_follow_ups

OPEN = 100_000
# Far more jobs than a real shop opens: each is promised and has not moved for long.
JOBS = """
    INSERT INTO jobs_job (id, shop_id, number, mark, customer_id, machine_id, stage, promised_on, notes, waits_on,
                          urgency, arrives_by, resumed_work)
    SELECT gen_random_uuid(), %(shop)s, NULL, n::text, %(customer)s, %(machine)s, 'repair', %(on)s, '', '{}',
           'usual', '', '[]'
    FROM generate_series(1, %(count)s) n
"""


def measure_reminders(figures: Recorder) -> None:
    """The first sweep, which makes 100,000 follow-ups, and those after it, which find them all open."""
    mark = uuid7()
    opening = FirstShop(
        shop_name=f"Bench {mark}", zone="UTC", name="B", email=f"{mark}@bench.example", password=PASSWORD
    )
    actor = open_shop(data=opening)
    customer, machine = uuid7(), uuid7()
    add_customer(actor=actor, data=NewCustomer(id=customer, name="Bench"))
    add_machine(actor=actor, data=NewMachine(id=machine, customer_id=customer, kind="garden tractor"))

    def sweep() -> SweepResult:
        with in_shop(actor.shop_id):
            lock_shop(actor.shop_id)
            return sweep_follow_ups(actor=actor)

    on = now().date() + timedelta(days=8)
    with in_shop(actor.shop_id), connection.cursor() as cursor:
        lock_shop(actor.shop_id)
        cursor.execute(
            JOBS, {"shop": actor.shop_id, "customer": customer, "machine": machine, "on": on, "count": OPEN // 2}
        )
    with held_at(now() + timedelta(days=8)):
        began = time.perf_counter()
        swept = sweep()
        figures.add(f"first_sweep_makes_{swept.created}", [time.perf_counter() - began], "s")
        figures.measure(f"sweep_of_{swept.created}_open", sweep)
