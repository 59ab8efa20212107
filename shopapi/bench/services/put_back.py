"""Rules about the order of putting back."""

from shopapi.accounts.rules import Permission
from shopapi.bench.models import PutBackRule, RemovalStep
from shopapi.bench.rules.put_back import RuleRecord
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.errors import FieldError, Invalid
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.core.schema import Target
from shopapi.jobs.models import Job


@command(needs=Permission.WORK_JOBS, creates_row=True)
def add_put_back_rule(*, actor: Actor, data: RuleRecord) -> PutBackRule:
    """Say that one step of a job is put back before another.

    Rules that contradict each other are kept: the screen of the order names the circle, and which rules are in it.
    """
    refuse_known_id(PutBackRule, data.id)
    job = row_for(Job, actor, data.job_id, field="job_id")
    for field, step_id in (("before_id", data.before_id), ("after_id", data.after_id)):
        if row_for(RemovalStep, actor, step_id, field=field, lock=False).job_id != job.id:
            raise Invalid("invalid", fields=[FieldError(field, "another_job", message="rule_of_another_job")])
    if data.before_id == data.after_id:
        raise Invalid("invalid", fields=[FieldError("after_id", "same_step", message="rule_about_one_step")])
    rule = PutBackRule.objects.create(shop_id=actor.shop_id, **data.model_dump())
    record(actor, "put-back rule added", ("job", job.id), rule=rule.id)
    return rule


@command(needs=Permission.WORK_JOBS, deletes_row=True)
def remove_put_back_rule(*, actor: Actor, data: Target) -> PutBackRule:
    """Delete a rule about the order."""
    rule = row_for(PutBackRule, actor, data.id)
    rule.delete()
    rule.pk = data.id
    record(actor, "put-back rule deleted", ("job", rule.job_id), reason=rule.reason)
    return rule
