"""What was tested on a job before it was released."""

from datetime import datetime

from shopapi.bench.models import CheckList, RunTest
from shopapi.bench.rules.interlock_rows import ROWS
from shopapi.bench.rules.run_tests import (
    DEFAULT_TESTS,
    PlannedTest,
    ReleaseSummary,
    RunTestRow,
    choose_test_list,
    listed_tests,
    machine_class,
    planned_tests,
    summarize_tests,
    with_rows,
)
from shopapi.jobs.models import Complaint, Job


def release_summary_of(job: Job, *, at: datetime) -> ReleaseSummary[RunTestRow] | None:
    """What was tested on a job by then and what was not; None where nothing was recorded.

    By the list of tests as it is now.
    """
    rows = RunTest.objects.filter(shop=job.shop_id, job=job, tested_at__lte=at)
    results = [RunTestRow.model_validate(row) for row in rows]
    if not results:
        return None
    of = machine_class(job.machine.kind)
    said = Complaint.objects.filter(shop=job.shop_id, job=job).values_list("words", "happens_when")
    lists = CheckList.objects.filter(shop=job.shop_id).order_by("name", "id")
    own = choose_test_list(lists, job.machine.kind)
    listed = (
        [PlannedTest(kind=kind) for kind in DEFAULT_TESTS[of]]
        if own is None
        else listed_tests(item["words"] for item in own.items)
    )
    planned = planned_tests(listed, [f"{words}\n{happens_when}" for words, happens_when in said])
    return summarize_tests(with_rows(planned, ROWS[of]), results)
