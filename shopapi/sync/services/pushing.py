"""Pushes: numbered commands of one device, each carried out once, in order, and answered from the log ever after."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from datetime import datetime, timedelta
from uuid import UUID

from django.db import OperationalError

from shopapi.accounts.models import Device
from shopapi.accounts.queries import was_signed_off_by_leaving
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.errors import Conflict, NotFound, Unavailable
from shopapi.core.feed import take_number
from shopapi.core.tenancy import in_shop
from shopapi.sync import queries
from shopapi.sync.models import LoggedCommand
from shopapi.sync.rules import CHUNK, Envelope, Outcome, OutcomeField, Push, Status, digest_of
from shopapi.sync.services.carrying import Verdict, acting_as, carry_out, hold, release
from shopapi.sync.services.catalog import COMMANDS
from shopapi.sync.services.settling import settle_issue

KNOWN = {**COMMANDS, settle_issue.name: settle_issue}
MOST_KEPT_OF_RETIRED = 1000
RETIRED = "This device was signed off by the owner. What it had not sent yet is kept for the owner to look at."
LEFT = "The membership had ended when this arrived. Look at it, then put it in place or leave it out."


@dataclass(frozen=True)
class Pushed:
    """What became of each command, and the number that the device's next one must carry."""

    results: list[Outcome]
    next_no: int
    retired: bool = False


def push_commands(*, actor: Actor, data: Push) -> Pushed:
    """Carry out a device's commands in chunks: a chunk is one transaction, a command one savepoint in it.

    Raises Conflict `gap` (with `expect`) when the first number is not the next one, Conflict `fork` when an id or a
    number was used for something else, Unavailable when the database is busy: then nothing of the chunk is recorded.
    The commands of a retired device are held and laid before people, up to a limit; of one that ended with its
    member's membership, facts from before that have happened, and are carried out.
    """
    pushed = Pushed([], 0)
    for first in range(0, max(len(data.commands), 1), CHUNK):
        chunk = data.commands[first : first + CHUNK]
        try:
            with in_shop(actor.shop_id):
                done = _push_chunk(actor, data, chunk, resumes=bool(pushed.results))
        except OperationalError:
            raise Unavailable("busy", "The database is busy; send this again in a moment.") from None
        pushed = Pushed([*pushed.results, *done.results], done.next_no, done.retired)
        if len(done.results) < len(chunk):
            break
    return pushed


def _push_chunk(actor: Actor, data: Push, chunk: Sequence[Envelope], *, resumes: bool) -> Pushed:
    seq = take_number(actor.shop_id)
    device = _locked_device(actor, data.device)
    skew_ms = round((data.sent_wall - now()).total_seconds() * 1000)
    known = queries.logged(actor.shop_id, [envelope.id for envelope in chunk])
    waited_for = queries.rows_waited_for(actor.shop_id)
    room = MOST_KEPT_OF_RETIRED - queries.kept_of_retired(device) if device.revoked_at else 0
    # Their permissions went with the membership; what they did while they had them stands.
    leaver = acting_as(device.member) if was_signed_off_by_leaving(device) else None
    results: list[Outcome] = []
    for envelope in chunk:
        recorded = known.get(envelope.id)
        if recorded is not None:
            results.append(_repetition(recorded, envelope))
            continue
        if envelope.no < device.next_no:
            raise Conflict("fork", f"Number {envelope.no} of this device was used for another command.")
        if envelope.no > device.next_no:
            if not results and not resumes:
                words = f"Command {device.next_no} comes before this one; send from there."
                raise Conflict("gap", words, more={"expect": device.next_no})
            break
        acting = replace(leaver or actor, device_id=device.id, command_id=envelope.id, skew_ms=skew_ms)
        if device.revoked_at is not None:
            if room <= 0:
                break
            room -= 1
        verdict = _verdict_on(acting, envelope, signed_off=device.revoked_at, left=leaver is not None)
        logged = _record(acting, envelope, verdict, device=device, skew_ms=skew_ms, seq=seq)
        known[envelope.id] = logged
        results.append(outcome_of(logged))
        device.next_no += 1
        if verdict.waits_for is not None:
            waited_for.add(verdict.waits_for)
        if verdict.status == Status.APPLIED and UUID(envelope.args["id"]) in waited_for:
            release(actor.shop_id, UUID(envelope.args["id"]), seq)
    device.skew_ms, device.build = skew_ms, data.build
    device.save(update_fields=["next_no", "skew_ms", "build"])
    return Pushed(results, device.next_no, retired=device.revoked_at is not None)


def _verdict_on(acting: Actor, envelope: Envelope, *, signed_off: datetime | None, left: bool) -> Verdict:
    command = KNOWN.get(envelope.name)
    if signed_off is None:
        return carry_out(acting, command, envelope.args)
    made_at = envelope.wall - timedelta(milliseconds=acting.skew_ms)
    if left and command is not None and command.fact and made_at <= signed_off:
        return carry_out(acting, command, envelope.args)
    return hold(acting, envelope.name, envelope.args, Conflict("device_retired", LEFT if left else RETIRED))


def _locked_device(actor: Actor, device_id: UUID) -> Device:
    device = Device.objects.select_for_update().filter(id=device_id, member=actor.member_id).first()
    if device is None:
        raise NotFound("device", device_id, field="device")
    return device


def _repetition(recorded: LoggedCommand, envelope: Envelope) -> Outcome:
    if recorded.digest != digest_of(envelope):
        raise Conflict("fork", "This id was used for another command; the device must register anew.")
    return outcome_of(recorded).model_copy(
        update={"status": Status.DUPLICATE, "first": Status(recorded.status), "no": envelope.no}
    )


def _record(
    actor: Actor, envelope: Envelope, verdict: Verdict, *, device: Device, skew_ms: int, seq: int
) -> LoggedCommand:
    return LoggedCommand.objects.create(
        shop_id=actor.shop_id,
        device=device,
        member_id=device.member_id,
        digest=digest_of(envelope),
        skew_ms=skew_ms,
        status=verdict.status,
        code=verdict.code,
        words=verdict.words,
        fields=[asdict(fault) for fault in verdict.fields],
        waits_for=verdict.waits_for,
        seq=seq if verdict.status == Status.APPLIED else None,
        **envelope.model_dump(),
    )


def outcome_of(logged: LoggedCommand) -> Outcome:
    """The recorded outcome of a command as it stands on the wire."""
    return Outcome(
        id=logged.id,
        no=logged.no,
        status=Status(logged.status),
        code=logged.code,
        words=logged.words,
        fields=[OutcomeField(**fault) for fault in logged.fields],
        seq=logged.seq,
    )
