"""What a new phone gets first: all open work, nothing that refers to a row it lacks, and little of anything else."""

import random
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

from django.db.models import ForeignKey

from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer, Site
from shopapi.jobs.models import Job
from shopapi.machines.models import Machine
from shopapi.sync.queries import synced_kinds
from tests.factories.examples import Scene
from tests.flaky_proxy import FlakyProxy
from tests.sync import invariants, scenario
from tests.sync.conftest import SHOP, SyncShop
from tests.sync.simulated_phone import ConnectionLost, HttpTransport, Response, Row, SimulatedPhone

Rows = dict[tuple[str, str], Row]
# What a row of the first part may name without it: where it was bought, what it came back from, its papers.
NOT_NEEDED = {
    "catalog_part",
    "comeback_of",
    "document",
    "pdf",
    "plan",
    "again_of",
    "replaces",
    "corrects",
    "repairs",
    "credited",
    "device",
    "driver",
}


def first_rows(phone: SimulatedPhone) -> Rows:
    rows: Rows = {}
    page = phone.get("sync/snapshot", part="first")
    phone.merge_rows(rows, page["rows"])
    while page["after"] is not None:
        page = phone.get("sync/snapshot", part="first", after=page["after"])
        phone.merge_rows(rows, page["rows"])
    return rows


def add_jobs(shop: SyncShop, count: int, stage: str) -> None:
    """So many customers, each with a place, a machine and a job: four rows."""
    with in_shop(shop.id):
        customers = Customer.objects.bulk_create(
            Customer(id=uuid7(), shop_id=shop.id, name=f"{stage} {n}", phone=f"208 555 {n:04}") for n in range(count)
        )
        Site.objects.bulk_create(Site(id=uuid7(), shop_id=shop.id, customer=one, label="Yard") for one in customers)
        machines = Machine.objects.bulk_create(
            Machine(id=uuid7(), shop_id=shop.id, customer=one, kind="chipper", serial=f"{n:08}")
            for n, one in enumerate(customers)
        )
        Job.objects.bulk_create(
            Job(
                id=uuid7(),
                shop_id=shop.id,
                customer_id=machine.customer_id,
                machine=machine,
                stage=stage,
                mark=f"{stage[0]}-{n}",
            )
            for n, machine in enumerate(machines)
        )


def missing_parents(rows: Rows) -> Iterator[str]:
    """The keys of these rows to rows of a synced kind that are not among them."""
    kinds = {resource.model: kind for kind, resource in synced_kinds().items()}
    for (kind, _), row in rows.items():
        for field in synced_kinds()[kind].model._meta.concrete_fields:
            parent = kinds.get(field.related_model) if isinstance(field, ForeignKey) else None
            named = row.get(f"{field.name}_id")
            if parent and named and field.name not in NOT_NEEDED and (parent, named) not in rows:
                yield f"{kind}.{field.name} {named}"


def test_open_work_comes_first_and_history_does_not(shop: SyncShop, phone: SimulatedPhone) -> None:
    visits = [scenario.record_visit(phone, shop=SHOP, nth=nth) for nth in range(3)]
    over = visits[2]
    for stage in ("repair", "cancelled"):
        phone.write("move_job", id=over.job_id, stage=stage)
    began = scenario.create_row(phone, "start_clock", kind="repair", job_id=visits[0].job_id, started_at=_ago(hours=1))
    phone.push()
    assert {entry.status for entry in phone.outbox} == {"applied"}
    add_jobs(shop, 450, "closed")
    rows, whole = first_rows(phone), phone
    whole.pull()
    assert rows.items() <= whole.base.items(), "each is as the whole shop has it"
    assert list(missing_parents(rows)) == []
    of_kind = {kind: {row_id for of, row_id in rows if of == kind} for kind, _ in rows}
    assert of_kind["job"] == {visit.job_id for visit in visits[:2]}
    assert of_kind["customer"] == {visit.customer_id for visit in visits[:2]}
    assert began in of_kind["time_entry"]
    for kind in ("finding", "complaint", "quote", "quote_line", "approval", "signature", "meter_reading", "machine"):
        assert {k for k in whole.base if k[0] == kind} - rows.keys() != set(), f"of the cancelled job: {kind}"
        assert of_kind[kind], kind
    assert len(whole.base) > 1_800
    assert len(rows) < 60


def test_every_kind_of_open_work_refers_only_to_rows_that_come_with_it(shop: SyncShop, phone: SimulatedPhone) -> None:
    """With a row of every kind there is."""
    scene = Scene(shop.owner)
    for kind in invariants.TABLES:
        scene.the(kind)
    rows = first_rows(phone)
    assert list(missing_parents(rows)) == []
    phone.sync()
    assert rows.items() <= phone.base.items()


def test_first_part_comes_in_pages_and_the_whole_says_how_much_it_is(shop: SyncShop, phone: SimulatedPhone) -> None:
    add_jobs(shop, 700, "repair")
    page = phone.get("sync/snapshot", part="first")
    assert (page["after"] is not None, page["total"]) == (True, None)
    rows = first_rows(phone)
    assert len([key for key in rows if key[0] == "job"]) == 700
    begun = phone.get("sync/snapshot")
    phone.snapshot()
    assert begun["total"] == len(phone.base)
    assert phone.get("sync/snapshot", after=begun["after"])["total"] is None


def test_unknown_part_is_refused(shop: SyncShop, phone: SimulatedPhone) -> None:
    answer = phone.call("GET", f"sync/snapshot?device={phone.id}&part=second")
    assert (answer.status, answer.body["fields"][0]["field"]) == (400, "part")


def _ago(**span: float) -> str:
    return (now() - timedelta(**span)).isoformat().replace("+00:00", "Z")


# At a tenth of the time: 50 kbit/s with cuts every 20 s lets as many bytes through between two cuts.
BYTES_PER_SECOND = 62_500
BYTES_BETWEEN_CUTS = 125_000


def test_first_pull_on_a_line_that_is_cut_resumes_at_its_page(
    shop: SyncShop, phone: SimulatedPhone, proxy: FlakyProxy
) -> None:
    """Scenario 39: open work is there before the first cut; no page is lost, and the end equals a clean pull."""
    visit = scenario.record_visit(phone, shop=SHOP)
    phone.sync()
    add_jobs(shop, 2500, "closed")
    far = SimulatedPhone(GzipTransport(proxy.port, shop.owner_key), random.Random(39))  # noqa: S311
    assert far.register().status == 200
    proxy.open(bytes_per_second=BYTES_PER_SECOND)
    cuts, pages = 0, 0
    assert ("job", visit.job_id) in first_rows(far)
    proxy.cut_after(BYTES_BETWEEN_CUTS)
    after: str | None = ""
    while after is not None:
        try:
            page = far.get("sync/snapshot", after=after)
        except ConnectionLost:
            cuts += 1
            assert cuts < 50, "no page comes through"
            proxy.open(bytes_per_second=BYTES_PER_SECOND)
            proxy.cut_after(BYTES_BETWEEN_CUTS)
            continue
        far.cursor = far.cursor or page["cursor"]
        far.merge_rows(far.base, page["rows"])
        after, pages = page["after"], pages + 1
    proxy.open()
    far.pull()
    assert cuts >= 1
    assert pages >= 20
    assert far.resync_reasons == []
    invariants.assert_equals_snapshot(far)


class GzipTransport(HttpTransport):
    """As a browser: takes answers compressed."""

    def __call__(self, method: str, path: str, body: Any, headers: dict[str, str]) -> Response:
        return super().__call__(method, path, body, {"Accept-Encoding": "gzip", **headers})
