"""Pushes: numbered commands of one device run once each, in order; repetitions are answered from the log."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from uuid import UUID

from django.conf import settings
from django.db import OperationalError
from django.utils.crypto import constant_time_compare, salted_hmac

from shopapi.accounts.models import Device
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.errors import Conflict, FieldError, NotFound, Unavailable, unpack
from shopapi.core.feed import claim_commit_seq
from shopapi.core.rendering import plain_context, render, render_fields
from shopapi.core.rows import insert_rows
from shopapi.core.schema import to_json
from shopapi.core.tenancy import in_shop
from shopapi.sync import queries
from shopapi.sync.models import LoggedCommand
from shopapi.sync.rules.clocks import (
    ClockOffset,
    ClockReading,
    SkewEstimate,
    epoch_ms,
    estimate_skews,
    reference_readings,
)
from shopapi.sync.rules.outcomes import CommandStatus, Outcome, OutcomeField, seal_content
from shopapi.sync.rules.push import CHUNK_SIZE, Envelope, Push, command_digest
from shopapi.sync.services.catalog import COMMANDS
from shopapi.sync.services.execution import (
    CommandCall,
    CommandResult,
    execute_restored,
    execute_together,
    hold_command,
    reason_to_hold,
    record_result,
    run_unblocked,
)
from shopapi.sync.services.issues import settle_issue

PUSH_COMMANDS = {**COMMANDS, settle_issue.name: settle_issue}
MAX_HELD_OF_RETIRED = 1000


@dataclass(frozen=True)
class DeviceClock:
    """The estimated skew of the device's clock: `at` each command (by id), and `skew_ms` when it sent them."""

    at: Mapping[UUID, SkewEstimate]
    skew_ms: int


@dataclass(frozen=True)
class PushResult:
    """The outcome of each command, and the number that the device's next one must have."""

    results: list[Outcome]
    next_no: int
    retired: bool = False


def push_commands(*, actor: Actor, data: Push, received_at: datetime | None = None) -> PushResult:
    """Run a device's commands in chunks: a chunk is one transaction, a command one savepoint in it.

    Raises Conflict `gap` (with `expect`) when the first number is not the next one, Conflict `fork` when an id or a
    number was used for something else, Unavailable when the database is busy: then nothing of the chunk is recorded.
    Commands of a device that was signed off are held for the owner, up to a limit, whatever their times say.
    `received_at`: when the first byte of it arrived, if not now.
    """
    clock = _estimate_clock(actor, data, received_at or now())
    pushed = PushResult([], 0)
    for first in range(0, max(len(data.commands), 1), CHUNK_SIZE):
        chunk = [_with_verified_earlier(envelope) for envelope in data.commands[first : first + CHUNK_SIZE]]
        try:
            with in_shop(actor.shop_id):
                done = _push_chunk(actor, data, chunk, clock, resumes=bool(pushed.results))
        except OperationalError:
            raise Unavailable("busy") from None
        pushed = PushResult([*pushed.results, *done.results], done.next_no, done.retired)
        if len(done.results) < len(chunk):
            break
    return pushed


def _estimate_clock(actor: Actor, data: Push, received_at: datetime) -> DeviceClock:
    """Estimate the clock's skew from the commands' readings and the exchanges between them."""
    with in_shop(actor.shop_id):
        device = Device.objects.filter(id=data.device, member=actor.member_id, next_no__gt=1).first()
    references, sent = reference_readings(data.contacts, sent_wall=data.sent_wall, received_at=received_at)
    made = [(one.no, ClockReading(epoch_ms(one.wall), one.mono_ms, one.session)) for one in data.commands]
    # A stable sort: a reference measured when number n was next comes before command n.
    readings = [reading for _, reading in sorted([*references, *made], key=lambda pair: pair[0])]
    estimates, offset = estimate_skews(None if device is None else ClockOffset(device.skew_ms), [*readings, sent])
    order = sorted(data.commands, key=lambda one: one.no)
    return DeviceClock({one.id: found for one, found in zip(order, estimates, strict=True)}, offset.ms)


def _push_chunk(
    actor: Actor, data: Push, chunk: Sequence[Envelope], clock: DeviceClock, *, resumes: bool
) -> PushResult:
    seq = claim_commit_seq(actor.shop_id)
    device = _locked_device(actor, data.device)
    known = queries.logged_commands(actor.shop_id, [envelope.id for envelope in chunk])
    together = _execute_together(actor, chunk, clock, device, known)
    history = RowHistory(actor.shop_id, chunk) if together else None
    room = MAX_HELD_OF_RETIRED - queries.count_since_retired(device) if device.revoked_at else 0
    results: list[Outcome] = []
    for envelope in chunk:
        recorded = known.get(envelope.id)
        if recorded is not None:
            results.append(_duplicate_outcome(recorded, envelope))
            continue
        if envelope.no < device.next_no:
            raise Conflict("fork", context={"no": envelope.no})
        if envelope.no > device.next_no:
            if not results and not resumes:
                raise Conflict("gap", context={"expect": device.next_no})
            break
        acting = _acting(actor, envelope, clock, device)
        if device.revoked_at is not None:
            if room <= 0:
                break
            room -= 1
        result = together.get(envelope.id) or _run_or_hold(acting, envelope, device)
        logged = _log_entry(acting, envelope, result, device=device, seq=seq, history=history)
        if not together:
            # Commands that are run alone may ask the log for those before them.
            logged.save(force_insert=True)
        known[envelope.id] = logged
        results.append(outcome_of(logged))
        device.next_no += 1
    insert_rows([known[command_id] for command_id in together])
    run_unblocked(actor.shop_id, seq, PUSH_COMMANDS)
    device.skew_ms, device.build = clock.skew_ms, data.build
    device.save(update_fields=["next_no", "skew_ms", "build"])
    return PushResult(results, device.next_no, retired=device.revoked_at is not None)


class RowHistory:
    """Which command was applied last on a row: read once for the rows that a chunk names, then kept up to date.

    For chunks that run together alone: nothing else writes the log between their commands.
    """

    def __init__(self, shop_id: UUID, chunk: Sequence[Envelope]) -> None:
        self._named = {row_id for envelope in chunk if (row_id := _named_row(envelope)) is not None}
        self._last = queries.last_applied_each(shop_id, self._named)

    def last_applied(self, shop_id: UUID, row_id: UUID) -> UUID | None:
        if row_id in self._named or row_id in self._last:
            return self._last.get(row_id)
        return queries.last_applied(shop_id, row_id)

    def note(self, logged: LoggedCommand) -> None:
        """Add an entry of the log that is newer than all others."""
        if logged.status == CommandStatus.APPLIED and logged.row_id is not None:
            self._last[logged.row_id] = logged.id


def _named_row(envelope: Envelope) -> UUID | None:
    try:
        return UUID(str(envelope.args.get("id")))
    except ValueError:
        return None


def _acting(actor: Actor, envelope: Envelope, clock: DeviceClock, device: Device) -> Actor:
    """Who acts in a command: the member, the device, and how far its clock was off."""
    before = envelope.earlier
    skew = clock.at[envelope.id]
    if before is not None and before.skew_ms is not None:
        skew = SkewEstimate(before.skew_ms, before.or_skew_ms)
    return replace(actor, device_id=device.id, command_id=envelope.id, **asdict(skew))


def _execute_together(
    actor: Actor, chunk: Sequence[Envelope], clock: DeviceClock, device: Device, known: Mapping[UUID, LoggedCommand]
) -> dict[UUID, CommandResult]:
    """The results of the chunk's new commands by id, where all of them can run together; else empty.

    Not where one needs the log of those before it (a settlement, a command sent again after a restore), is unknown, or
    does not follow the one before it.
    """
    fresh = [envelope for envelope in chunk if envelope.id not in known]
    in_order = [envelope.no for envelope in fresh] == list(range(device.next_no, device.next_no + len(fresh)))
    once = len({envelope.id for envelope in fresh}) == len(fresh)
    if len(fresh) < 2 or not in_order or not once or reason_to_hold(device) is not None:
        return {}
    calls = []
    for envelope in fresh:
        command = COMMANDS.get(envelope.name)
        if command is None or envelope.v > command.v or envelope.earlier is not None:
            return {}
        calls.append(CommandCall(_acting(actor, envelope, clock, device), command, envelope.args, envelope.v))
    results = execute_together(actor.shop_id, calls)
    return {} if results is None else dict(zip((envelope.id for envelope in fresh), results, strict=True))


def _run_or_hold(acting: Actor, envelope: Envelope, device: Device) -> CommandResult:
    command = PUSH_COMMANDS.get(envelope.name)
    retired = reason_to_hold(device)
    if retired is None:
        return execute_restored(acting, command, envelope.args, envelope.earlier, v=envelope.v)
    # The phone's times cannot be trusted to say that it was written before the sign-off, so a person decides.
    return hold_command(acting, command, envelope.name, envelope.args, retired)


def _locked_device(actor: Actor, device_id: UUID) -> Device:
    device = Device.objects.select_for_update().filter(id=device_id, member=actor.member_id).first()
    # A session that may only push its queue cannot push for a device that is still in use.
    if device is None or (device.revoked_at is None and not actor.may(Permission.READ)):
        raise NotFound("device", device_id, field="device")
    return device


def _duplicate_outcome(recorded: LoggedCommand, envelope: Envelope) -> Outcome:
    if recorded.digest != command_digest(envelope):
        raise Conflict("fork", message="fork_of_id")
    return outcome_of(recorded).model_copy(
        update={"status": CommandStatus.DUPLICATE, "first": CommandStatus(recorded.status), "no": envelope.no}
    )


def _log_entry(
    actor: Actor, envelope: Envelope, result: CommandResult, *, device: Device, seq: int, history: "RowHistory | None"
) -> LoggedCommand:
    """The entry of the log for a command, not saved; `history`: of the rows that its chunk names, else it is read."""
    logged = LoggedCommand(
        shop_id=actor.shop_id,
        device=device,
        member_id=device.member_id,
        digest=command_digest(envelope),
        skew_ms=actor.skew_ms,
        or_skew_ms=actor.or_skew_ms,
        status=result.status,
        code=result.code,
        words=result.stored_reason,
        fields=[fault.to_json() for fault in result.fields],
        waits_for=result.waits_for,
        earlier=to_json(envelope.earlier) if envelope.earlier else None,
        **envelope.model_dump(exclude={"earlier"}),
    )
    record_result(logged, result, seq, last_applied=history.last_applied if history else queries.last_applied)
    if history:
        history.note(logged)
    return logged


def _with_verified_earlier(envelope: Envelope) -> Envelope:
    """The command without its `earlier`, unless the seal proves that this server gave that outcome."""
    said = envelope.earlier
    if said is None or _has_seal(said.seal, seal_content(envelope.id, said.status, said)):
        return envelope
    return envelope.model_copy(update={"earlier": None})


def _has_seal(seal: str, content: str) -> bool:
    keys = (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS)
    return any(constant_time_compare(seal, _seal(content, key)) for key in keys)


def _seal(content: str, key: str) -> str:
    return salted_hmac("sync.earlier", content, secret=key, algorithm="sha256").hexdigest()


def outcome_of(logged: LoggedCommand) -> Outcome:
    """The recorded outcome of a command, sealed, as it is sent to the phone."""
    reason = unpack(logged.words or "")
    outcome = Outcome(
        id=logged.id,
        no=logged.no,
        status=CommandStatus(logged.status),
        code=logged.code,
        words=render(reason) if logged.words else None,
        message=reason.code,
        context=plain_context(reason.context),
        fields=[OutcomeField(**fault) for fault in render_fields(map(FieldError.from_json, logged.fields))],
        seq=logged.seq,
        after=logged.after,
        number=logged.number,
        skew_ms=logged.skew_ms,
        or_skew_ms=logged.or_skew_ms,
    )
    seal = _seal(seal_content(outcome.id, outcome.status, outcome), settings.SECRET_KEY)
    return outcome.model_copy(update={"seal": seal})
