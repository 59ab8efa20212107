"""`benchmark shops` runs on a small scale; no figure is asserted, machines are noisy."""

import pytest
from celery import current_app

from shopapi.accounts.queries import every_shop, system_actor
from shopapi.benchmarks import shops
from shopapi.benchmarks.recorder import Recorder
from shopapi.core.sweeps import shops_due
from shopapi.core.tenancy import in_shop
from shopapi.jobs.queries import jobs
from shopapi.labor.queries import time_entries


def test_shops_benchmark_times_every_task_at_every_size(committed_db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shops, "SIZES", (1, 4))
    monkeypatch.setattr(shops, "TICKS", 1)
    figures = Recorder("shops", lambda line: None)
    shops.measure_shops(figures)
    tasks = set(current_app.conf.beat_schedule) - {"sync.drop_old_rows"}
    expected = {f"{task}_{how}_{size}" for task in tasks for how in ("idle", "busy") for size in (1, 4)}
    assert set(figures.rows) == expected | {"list_among_1", "list_among_4"}
    assert set(figures.ratios) == {"share_of_one_worker_1", "share_of_one_worker_4", "list_among_4_by_alone"}


def test_a_copied_shop_has_the_rows_of_the_original(committed_db: None) -> None:
    original = shops._open_shop()
    shops._copy(original.shop_id, 2)
    assert len(every_shop()) == 3
    seen = set()
    for shop_id in every_shop():
        with in_shop(shop_id):
            rows = jobs(system_actor(shop_id))
            seen |= set(rows.values_list("id", flat=True))
            assert rows.count() == shops.JOBS
            assert all(job.customer.name == "Bench" and job.machine.customer_id == job.customer_id for job in rows)
            assert time_entries(system_actor(shop_id)).get().job_id in set(rows.values_list("id", flat=True))
    assert len(seen) == 3 * shops.JOBS
    # A copy changes as the original does.
    assert set(shops_due("labor.rebuild_histories")) == set(every_shop())


def test_what_is_measured_has_its_size() -> None:
    assert (shops.SIZES, shops.JOBS, shops.TICKS) == ((1, 1_000, 10_000), 10, 5)
