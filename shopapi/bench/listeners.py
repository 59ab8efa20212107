"""What the bench does when an app below it changes something."""

from shopapi.bench.queries.fasteners import torque_open_words
from shopapi.core.actor import Actor
from shopapi.core.errors import Conflict, FieldError
from shopapi.jobs.models import Job
from shopapi.jobs.rules import Stage, starts_testing


def job_moving(*, actor: Actor, job: Job, to: Stage) -> None:
    """Refuse to start testing while a torque-critical fastener is not back or not tightened."""
    if starts_testing(Stage(job.stage), to) and (places := torque_open_words(actor, job.id)):
        context = {"fasteners": places}
        raise Conflict("torque_open", fields=[FieldError("stage", "torque_open", context=context)], context=context)
