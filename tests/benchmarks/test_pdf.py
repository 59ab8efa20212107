"""`benchmark pdf` with a real worker; children are replaced. No figure is asserted, machines are noisy."""

import os
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from shopapi.benchmarks.pdf import measure_pdf, memory_of
from shopapi.benchmarks.recorder import Recorder
from tests.factories import work
from tests.factories.crews import open_crew
from tests.site import LiveSite


def test_worker_replaces_its_child_and_its_memory_is_printed(live_site: LiveSite) -> None:
    crew = open_crew()
    work.an_offer(crew.owner, work.a_job(crew.owner))
    live_site.start_worker("--max-tasks-per-child", "2")
    said: list[str] = []
    figures = Recorder("pdf", said.append)
    # Before these, the PDF of the offer itself.
    measure_pdf(figures, live_site.worker_pid_file, 5)
    assert list(figures.rows) == ["memory_at_start", "memory_after_5", "one_pdf", "children_used"]
    assert len(said) == 4
    assert float(figures.rows["memory_after_5"]["median"]) > 20, "in MB"
    assert 2 <= float(figures.rows["children_used"]["median"]) <= 5


def test_children_are_replaced_by_count_and_by_memory() -> None:
    assert 0 < settings.CELERY_WORKER_MAX_TASKS_PER_CHILD <= 1_000
    # In KiB (Celery's documentation of worker_max_memory_per_child); two of them fit in the container's limit.
    assert 200_000 <= settings.CELERY_WORKER_MAX_MEMORY_PER_CHILD <= 500_000


def test_memory_is_that_of_the_whole_group() -> None:
    resident = int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1_000_000
    assert memory_of(os.getpgrp()) > 0
    assert memory_of(os.getpgrp()) > resident / 4
    assert memory_of(2**22 + 1) == 0, "no such group"


def test_benchmark_without_a_worker_is_one_line(db: None) -> None:
    with pytest.raises(CommandError, match=r"^No worker runs here: there is no .*worker.pid. Start one"):
        call_command("benchmark", "pdf")
