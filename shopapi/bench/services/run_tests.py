"""Records the results of tests before release."""

from shopapi.accounts.rules import Permission
from shopapi.bench.models import RunTest
from shopapi.bench.rules.run_tests import RunTestRecord, run_test_faults
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.errors import refuse_faults
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.jobs.models import Job


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def record_run_test(*, actor: Actor, data: RunTestRecord) -> RunTest:
    """Keep the result of a test. Raises Invalid for a result that cannot be; a phone's is held, not lost."""
    refuse_known_id(RunTest, data.id)
    row_for(Job, actor, data.job_id, field="job_id")
    refuse_faults(run_test_faults(data))
    made = RunTest.objects.create(
        shop_id=actor.shop_id,
        member_id=actor.member_id,
        **data.model_dump() | {"tested_at": actor.instant_of(data.tested_at)},
    )
    record(actor, "machine tested", ("job", data.job_id), test=data.kind, outcome=data.outcome)
    return made
