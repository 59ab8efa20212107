"""Issues about clocked time that is held: they say whose it is, when, how long and for which job."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from shopapi.accounts.models import Member
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.commands import Command
from shopapi.core.errors import Invalid, Reason
from shopapi.core.feed import HELD_COMMAND, open_issue
from shopapi.core.models import Issue
from shopapi.core.schema import Schema
from shopapi.customers.models import Customer
from shopapi.jobs.models import Job
from shopapi.labor.models import TimeEntry
from shopapi.labor.rules.entry import ClockStart, ClockStop, EntryByHand
from shopapi.machines.models import Machine
from shopapi.machines.rules import machine_text
from shopapi.sync.models import LoggedCommand
from shopapi.sync.rules.held_time import HeldTime, time_to_json
from shopapi.sync.rules.outcomes import CommandStatus, HeldReason
from shopapi.sync.services.catalog import COMMANDS


@dataclass(frozen=True)
class _HeldClockCommand:
    """A held clock command, with its parsed arguments."""

    logged: LoggedCommand
    data: Schema

    def true_time(self, stamp: datetime) -> datetime:
        """The instant at which the device's clock showed `stamp`."""
        return stamp.astimezone(UTC) - timedelta(milliseconds=self.logged.skew_ms)


def describe_held_time(actor: Actor, command: Command[Any, Any], args: Mapping[str, Any]) -> None:
    """Write the span of time into the issue about this clock command, which is being held.

    Opens an issue if the job was rejected; a job that has not arrived yet is waited for first. A stop updates the issue
    of its start. Does nothing for commands about anything but time.
    """
    if command.needs != Permission.CLOCK or actor.member_id is None:
        return
    logged = LoggedCommand(
        id=actor.command_id,
        shop_id=actor.shop_id,
        member_id=actor.member_id,
        name=command.name,
        args=dict(args),
        v=command.v,
        skew_ms=actor.skew_ms,
    )
    held_command = _parse(logged)
    if held_command is None:
        return
    all_held = [*(one for one in _held_clock_commands(actor) if one.logged.id != actor.command_id), held_command]
    starts = [one for one in all_held if not isinstance(one.data, ClockStop)]
    for one in starts:
        _describe_start(actor, one, _held_span(one, all_held))
    if isinstance(held_command.data, ClockStop) and held_command.data.id not in {
        UUID(one.logged.args["id"]) for one in starts
    }:
        _describe_stop(actor, held_command, held_command.data)


def _parse(logged: LoggedCommand) -> _HeldClockCommand | None:
    command = COMMANDS.get(logged.name)
    if command is None or command.schema not in (ClockStart, ClockStop, EntryByHand) or logged.v > command.v:
        return None
    try:
        return _HeldClockCommand(logged, command.read(logged.args, v=logged.v))
    except Invalid:
        return None


def _held_clock_commands(actor: Actor) -> list[_HeldClockCommand]:
    """The held clock commands of the device, in order."""
    names = [name for name, command in COMMANDS.items() if command.needs == Permission.CLOCK]
    held = LoggedCommand.objects.filter(
        shop=actor.shop_id, device=actor.device_id, status=CommandStatus.HELD, name__in=names
    ).exclude(code__in=[HeldReason.NEEDS_REVIEW, HeldReason.LEFT_OUT])
    return [held_command for held_command in map(_parse, held.order_by("no")) if held_command is not None]


def _held_span(held_command: _HeldClockCommand, all_held: Iterable[_HeldClockCommand]) -> HeldTime:
    """The span that a held start opens: ended by its stop, or by the next start of the device."""
    data: Any = held_command.data
    if isinstance(data, EntryByHand):
        return HeldTime(data.started_at, data.ended_at)
    started_at = held_command.true_time(data.started_at)
    stops, starts = [], []
    for one in all_held:
        if isinstance(one.data, ClockStop) and one.data.id == data.id:
            stops.append(one.true_time(one.data.ended_at))
        elif isinstance(one.data, ClockStart) and one.true_time(one.data.started_at) > started_at:
            starts.append(one.true_time(one.data.started_at))
    return HeldTime(started_at, stops[0] if stops else min(starts, default=None))


def _describe_start(actor: Actor, held_command: _HeldClockCommand, time: HeldTime) -> None:
    data: Any = held_command.data
    member_id = getattr(data, "member_id", None) or held_command.logged.member_id
    theirs = _member_fields(actor, member_id) | _job_fields(actor, data.job_id) | time_to_json(time)
    if _update_issue(actor, held_command, theirs):
        return
    issues = Issue.objects.filter(shop_id=actor.shop_id, command_id=held_command.logged.id, entity_kind=HELD_COMMAND)
    if not issues.exists() and _was_refused(actor, data.job_id):
        open_issue(
            shop_id=actor.shop_id,
            kind=Issue.Kind.HELD,
            command_id=held_command.logged.id,
            name=held_command.logged.name,
            entity=(HELD_COMMAND, held_command.logged.id),
            reason=Reason("not_booked"),
            theirs=theirs,
            ours=dict(held_command.logged.args),
            member_id=held_command.logged.member_id,
        )


def _was_refused(actor: Actor, job_id: UUID | None) -> bool:
    """Whether the job's command was rejected or held, as opposed to not sent yet by another phone."""
    if job_id is None or Job.objects.filter(shop=actor.shop_id, id=job_id).exists():
        return False
    opened = LoggedCommand.objects.filter(shop=actor.shop_id, name="open_job", args__id=str(job_id))
    return opened.filter(status__in=[CommandStatus.REJECTED, CommandStatus.HELD]).exists()


def _describe_stop(actor: Actor, held_command: _HeldClockCommand, data: ClockStop) -> None:
    """Describe a stop whose start is booked: member, job and start are those of the entry."""
    entry = TimeEntry.objects.filter(shop=actor.shop_id, id=data.id).first()
    if entry is not None:
        time = HeldTime(entry.started_at, held_command.true_time(data.ended_at))
        _update_issue(
            actor,
            held_command,
            _member_fields(actor, entry.member_id) | _job_fields(actor, entry.job_id) | time_to_json(time),
        )


def _update_issue(actor: Actor, held_command: _HeldClockCommand, theirs: dict[str, Any]) -> bool:
    """Set `theirs` of the open issue about a command; False if there is none."""
    open_issues = Issue.objects.filter(
        shop_id=actor.shop_id, command_id=held_command.logged.id, entity_kind=HELD_COMMAND, state=Issue.State.OPEN
    )
    issue = open_issues.first()
    if issue is not None and issue.theirs != theirs:
        issue.theirs = theirs
        issue.save(update_fields=["theirs"])
    return issue is not None


def _member_fields(actor: Actor, member_id: UUID) -> dict[str, Any]:
    name = Member.objects.filter(shop=actor.shop_id, id=member_id).values_list("name", flat=True).first()
    return {"member": name or ""}


def _job_fields(actor: Actor, job_id: UUID | None) -> dict[str, Any]:
    """The job's description, from its row or, if it was not accepted, from the arguments of its command."""
    if job_id is None:
        return {}
    row = (
        Job.objects.filter(shop=actor.shop_id, id=job_id).values("number", "mark", "customer_id", "machine_id").first()
    )
    job = row or _last_args(actor, "open_job", job_id)
    parts = [job.get("number") or job.get("mark"), _customer_name(actor, job), _machine_name(actor, job)]
    named = {"job": " · ".join(part for part in parts if isinstance(part, str) and part)}
    # By this id erasure finds the text.
    return named | ({"customer_id": str(job["customer_id"])} if job.get("customer_id") else {})


def _customer_name(actor: Actor, job: Mapping[str, Any]) -> str:
    customer_id = job.get("customer_id")
    row = _column_values(Customer, actor, customer_id, "name") or _last_args(actor, "add_customer", customer_id)
    return str(row.get("name") or "")


def _machine_name(actor: Actor, job: Mapping[str, Any]) -> str:
    machine_id = job.get("machine_id")
    names = ("kind", "make", "model", "serial")
    row = _column_values(Machine, actor, machine_id, *names) or _last_args(actor, "add_machine", machine_id)
    kind, make, model, serial = (str(row.get(name) or "") for name in names)
    return machine_text(kind=kind, make=make, model=model, serial=serial)


def _column_values(model: Any, actor: Actor, row_id: object, *names: str) -> dict[str, Any]:
    try:
        wanted = UUID(str(row_id))
    except ValueError:
        return {}
    return dict(model.objects.filter(shop=actor.shop_id, id=wanted).values(*names).first() or {})


def _last_args(actor: Actor, name: str, row_id: object) -> dict[str, Any]:
    """The last arguments of a command about a row that was not accepted."""
    written = LoggedCommand.objects.filter(shop=actor.shop_id, name=name, args__id=str(row_id))
    return dict(written.order_by("received_at", "no").values_list("args", flat=True).last() or {})
