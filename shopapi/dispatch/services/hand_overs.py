"""Hand-overs: the condition of a machine when it changed hands, signed or not. A fact: applied or held."""

from typing import Any
from zoneinfo import ZoneInfo

from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError
from shopapi.core.languages import ENGLISH
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.core.schema import to_json
from shopapi.dispatch.models import HandOver, Stop
from shopapi.dispatch.rules.check_in import guard_item
from shopapi.dispatch.rules.meter import check_meter_reading
from shopapi.dispatch.rules.schemas.hand_over import HandOverRecord, MeterAnomaly
from shopapi.jobs.models import Job
from shopapi.jobs.rules import JobMove, SafetyItemRecord, Stage
from shopapi.jobs.services import move_job, record_safety_item
from shopapi.machines.queries import meter_readings
from shopapi.machines.rules import MeterRecord
from shopapi.machines.services import record_meter
from shopapi.quotes.models import Signature
from shopapi.quotes.rules import json_digest, json_digest_before_rfc8785


@command(needs=Permission.DRIVE_RUNS, fact=True, creates_row=True)
def hand_over(*, actor: Actor, data: HandOverRecord) -> HandOver:
    """Record the condition of a machine when it changed hands, with the signature.

    A guard that is missing or damaged at check-in becomes a safety item and its finding, both under the id of the
    hand-over.
    """
    refuse_known_id(HandOver, data.id)
    stop = row_for(Stop, actor, data.stop_id, field="stop_id")
    if stop.job is None:
        raise Conflict("stop_without_machine", fields=[FieldError("stop_id", "stop_without_machine")])
    anomaly = _record_meter(actor, stop.job, data)
    fields = data.model_dump(include=KEPT)
    made = HandOver.objects.create(
        id=data.id,
        shop_id=actor.shop_id,
        stop=stop,
        job=stop.job,
        kind=stop.kind,
        at=actor.instant_of(data.at),
        member_id=actor.member_id,
        condition=to_json(data.condition),
        reading_id=None if data.meter is None else data.meter.id,
        meter_anomaly=anomaly,
        matches=None if data.digest is None else _matches(data, data.digest),
        signature=_store_signature(actor, data),
        **fields,
    )
    if (found := guard_item(stop.kind, data.condition)) is not None:
        item = SafetyItemRecord(id=data.id, job_id=stop.job.id, **found.model_dump())
        record_safety_item.within(actor=actor, data=item)
    if stop.kind == "return" and stop.job.stage == Stage.READY:
        move_job.within(actor=actor, data=JobMove(id=stop.job.id, stage=Stage.RETURNED))
    record(actor, "machine handed over", ("stop", stop.id), hand_over=made.id, anomaly=anomaly, matches=made.matches)
    return made


KEPT = {
    "keys",
    "fuel",
    "accessories",
    "runs",
    "made_safe",
    "as_left",
    "acknowledged",
    "amount_due_minor",
    "signer_name",
    "language",
    "digest",
}


def digest_of(data: HandOverRecord) -> str:
    """The digest that the customer signs: of everything recorded but the ink and the digest itself."""
    return json_digest(_signed_part(data))


def _matches(data: HandOverRecord, digest: str) -> bool:
    """Whether a digest is that of the recorded data, in the present form or that of older apps."""
    signed = _signed_part(data)
    return digest in (json_digest(signed), json_digest_before_rfc8785(signed))


def _signed_part(data: HandOverRecord) -> dict[str, Any]:
    unsigned = {"signature", "digest"}
    # Apps from before there was another language sign none.
    return data.model_dump(mode="json", exclude=unsigned | {"language"} if data.language == ENGLISH else unsigned)


def _store_signature(actor: Actor, data: HandOverRecord) -> Signature | None:
    if data.signature is None:
        return None
    refuse_known_id(Signature, data.signature.id)
    return Signature.objects.create(
        shop_id=actor.shop_id,
        signer_name=data.signer_name,
        digest=data.digest or digest_of(data),
        **data.signature.model_dump(),
    )


def _record_meter(actor: Actor, job: Job, data: HandOverRecord) -> MeterAnomaly:
    if data.meter is None:
        return ""
    on = actor.instant_of(data.at).astimezone(ZoneInfo(shop_of(actor).zone)).date()
    machine_id = job.machine_id
    last = meter_readings(actor).filter(machine=machine_id).order_by("segment", "read_on", "id").last()
    record_meter.within(
        actor=actor,
        data=MeterRecord(
            id=data.meter.id,
            machine_id=machine_id,
            hours=data.meter.hours,
            read_on=on,
            new_segment=data.meter.new_segment,
        ),
    )
    if data.meter.new_segment or last is None:
        return ""
    return check_meter_reading(data.meter.hours, on, last.hours, last.read_on)
