"""Readings: their only writer."""

from shopapi.accounts.rules import Permission
from shopapi.bench.models import Reading
from shopapi.bench.rules.readings import ReadingRecord, reading_faults, si_of, verdict_of
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.errors import refuse_faults
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.core.schema import to_json
from shopapi.jobs.models import Job


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def record_reading(*, actor: Actor, data: ReadingRecord) -> Reading:
    """Record what was measured, and what it says about its limit."""
    refuse_known_id(Reading, data.id)
    job = row_for(Job, actor, data.job_id, field="job_id")
    for name in ("repeat_of_id", "corrects_id"):
        if (earlier := getattr(data, name)) is not None:
            row_for(Reading, actor, earlier, field=name)
    refuse_faults(reading_faults(data))
    reading = Reading.objects.create(
        shop_id=actor.shop_id,
        machine_id=job.machine_id,
        taken_by_id=actor.member_id,
        si=si_of(data),
        verdict=verdict_of(data),
        **data.model_dump()
        | {
            "gauge": to_json(data.gauge),
            "limit": to_json(data.limit),
            "taken_at": actor.instant_of(data.taken_at),
        },
    )
    record(actor, "reading recorded", ("job", job.id), what=data.what, verdict=reading.verdict)
    return reading
