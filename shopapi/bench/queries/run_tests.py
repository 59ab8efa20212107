"""What was tested on a job before it was released."""

from datetime import datetime

from shopapi.bench.models import RunTest
from shopapi.bench.rules.interlock_rows import ROWS
from shopapi.bench.rules.run_tests import (
    DEFAULT_TESTS,
    PlannedTest,
    ReleaseSummary,
    RunTestRow,
    machine_class,
    planned_tests,
    summarize_tests,
    with_rows,
)
from shopapi.jobs.models import Complaint, Job


def release_summary_of(job: Job, *, at: datetime) -> ReleaseSummary[RunTestRow] | None:
    """What was tested on a job by then and what was not; None where nothing was recorded."""
    rows = RunTest.objects.filter(shop=job.shop_id, job=job, tested_at__lte=at)
    results = [RunTestRow.model_validate(row) for row in rows]
    if not results:
        return None
    of = machine_class(job.machine.kind)
    said = Complaint.objects.filter(shop=job.shop_id, job=job).values_list("words", "happens_when")
    listed = [PlannedTest(kind=kind) for kind in DEFAULT_TESTS[of]]
    planned = planned_tests(listed, [f"{words}\n{happens_when}" for words, happens_when in said])
    return summarize_tests(with_rows(planned, ROWS[of]), results)
