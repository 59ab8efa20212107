"""What customers were told and accepted at intake. A fact: applied or held."""

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import FieldError, Invalid
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.jobs.models import Job
from shopapi.labor.rules.clock import AHEAD
from shopapi.quotes.models import IntakeTerms
from shopapi.quotes.rules.schemas import IntakeTermsRecord


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def record_intake_terms(*, actor: Actor, data: IntakeTermsRecord) -> IntakeTerms:
    """Record the diagnosis fee and the storage that a customer was told and accepted at intake.

    Raises Invalid for a time in the future, by more than a phone's clock may be ahead.
    """
    refuse_known_id(IntakeTerms, data.id)
    row_for(Job, actor, data.job_id, field="job_id")
    if (data.storage_free_days is None) != (data.storage_per_day_minor is None):
        raise Invalid("invalid", fields=[FieldError("storage_free_days", "half_storage")])
    if data.storage_cap_minor is not None and data.storage_per_day_minor is None:
        raise Invalid("invalid", fields=[FieldError("storage_cap_minor", "half_storage")])
    accepted_at = actor.instant_of(data.accepted_at)
    if accepted_at > now() + AHEAD:
        # It would outrank what is agreed later.
        raise Invalid("invalid", fields=[FieldError("accepted_at", "given_in_future")])
    terms = IntakeTerms.objects.create(
        shop_id=actor.shop_id,
        member_id=actor.member_id,
        **data.model_dump() | {"accepted_at": accepted_at},
    )
    record(actor, "intake terms accepted", ("job", data.job_id), terms=terms.id)
    return terms
