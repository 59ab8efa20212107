"""`benchmark labor`: reports on clocked time with a growing number of entries."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from functools import partial
from itertools import islice
from uuid import UUID

from shopapi.accounts.rules import FirstShop, NewInvitation, Role
from shopapi.accounts.services.invitations import join_at_once
from shopapi.benchmarks.recorder import PASSWORD, Recorder
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.feed import lock_shop
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.customers.rules.customer import NewCustomer
from shopapi.customers.services import add_customer
from shopapi.jobs.rules import JobMove, NewJob, Stage
from shopapi.jobs.services import move_job, open_job
from shopapi.labor.queries.hours import week_with
from shopapi.labor.queries.reports import hours_report, rounding_report
from shopapi.labor.rules.entry import ClockedElsewhere, EntryKind
from shopapi.labor.services.clock import import_entries
from shopapi.labor.services.history import rebuild_history
from shopapi.machines.rules import NewMachine
from shopapi.machines.services import add_machine
from shopapi.quotes.queries.progress import quoted_report
from shopapi.quotes.services.shop import open_shop

SIZES = (10_000, 100_000)
MEMBERS = 5
A_DAY = 8
A_JOB = 200
A_WRITE = 2_000
HOUR = timedelta(hours=1)


@dataclass(frozen=True)
class _Shop:
    actor: Actor
    members: Sequence[UUID]
    jobs: Sequence[UUID]


def measure_labor(figures: Recorder) -> None:
    """The week's reports in a shop with 10,000 and one with 100,000 entries, 40 of them a day."""
    medians: dict[str, list[float]] = {}
    for size in SIZES:
        shop = _open_shop(size)
        actor = shop.actor
        with in_shop(actor.shop_id):
            week = week_with(actor, None)
            works: dict[str, Callable[[], object]] = {
                "week": partial(hours_report, actor, week, None),
                "rounding": partial(rounding_report, actor, week, None),
                "quoted": partial(quoted_report, actor, week),
                "history": partial(rebuild_history, actor=actor),
            }
            for name, work in works.items():
                medians.setdefault(name, []).append(figures.measure(f"{name}_of_{size}", work))
    for name, (small, large) in medians.items():
        figures.ratio(f"{name}_ratio", large / small)


def _open_shop(entries: int) -> _Shop:
    mark = uuid7()
    opening = {"shop_name": f"Bench {mark}", "zone": "UTC", "name": "Bench"}
    actor = open_shop(data=FirstShop(**opening, email=f"{mark}@bench.example", password=PASSWORD))
    members = [uuid7() for _ in range(MEMBERS)]
    for number, member_id in enumerate(members):
        email = f"{number}.{mark}@bench.example"
        invitation = NewInvitation(id=member_id, name=f"No. {number}", email=email, role=Role.MECHANIC)
        join_at_once(actor=actor, data=invitation, password=PASSWORD)
    shop = _Shop(actor, members, [_open_job(actor) for _ in range(entries // A_JOB)])
    history = _entries(shop, entries)
    while chunk := list(islice(history, A_WRITE)):
        with in_shop(actor.shop_id):
            lock_shop(actor.shop_id)
            import_entries(actor=actor, data=chunk)
    return shop


def _open_job(actor: Actor) -> UUID:
    customer, machine, job = uuid7(), uuid7(), uuid7()
    add_customer(actor=actor, data=NewCustomer(id=customer, name="Bench"))
    add_machine(actor=actor, data=NewMachine(id=machine, customer_id=customer, kind="garden tractor"))
    open_job(actor=actor, data=NewJob(id=job, customer_id=customer, machine_id=machine))
    for stage in (Stage.REPAIR, Stage.TESTING, Stage.READY):
        move_job(actor=actor, data=JobMove(id=job, stage=stage))
    return job


def _entries(shop: _Shop, count: int) -> Iterator[ClockedElsewhere]:
    """Entries going back from yesterday: one hour each, eight a day per member."""
    yesterday = now().date() - timedelta(days=1)
    for number in range(count):
        slot, member = divmod(number, MEMBERS)
        days, hour = divmod(slot, A_DAY)
        began = datetime.combine(yesterday - timedelta(days=days), time(8 + hour), UTC)
        yield ClockedElsewhere(
            id=uuid7(),
            member_id=shop.members[member],
            kind=EntryKind.REPAIR,
            job_id=shop.jobs[number // A_JOB],
            operation=f"work {number % 30}",
            started_at=began,
            ended_at=began + HOUR,
        )
