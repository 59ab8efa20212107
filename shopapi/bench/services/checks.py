"""Check lists and checks: their only writer."""

from shopapi.accounts.rules import Permission
from shopapi.bench.models import Check, CheckList
from shopapi.bench.rules.checks import CheckListFields, CheckRecord, NewCheckList, repeated_item
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.edits import edit_row, edited
from shopapi.core.errors import FieldError, Invalid
from shopapi.core.rows import refuse_known_id, remove_row, row_for
from shopapi.core.schema import Edit, Target, to_json
from shopapi.jobs.models import Finding, Job


@command(needs=Permission.WORK_JOBS, creates_row=True)
def add_check_list(*, actor: Actor, data: NewCheckList) -> CheckList:
    """Add a check list."""
    refuse_known_id(CheckList, data.id)
    _check_items(data)
    made = CheckList.objects.create(
        shop_id=actor.shop_id, **data.model_dump(exclude={"items"}), items=to_json(data.items)
    )
    record(actor, "check list added", ("check_list", made.id), name=made.name)
    return made


@command(needs=Permission.WORK_JOBS)
def edit_check_list(*, actor: Actor, data: Edit[CheckListFields]) -> CheckList:
    """Edit a check list; checks recorded with it stay as they are."""
    row = row_for(CheckList, actor, data.id)
    _check_items(edited(row, data))
    return edit_row(actor=actor, kind="check_list", row=row, edit=data)


@command(needs=Permission.WORK_JOBS, deletes_row=True)
def remove_check_list(*, actor: Actor, data: Target) -> CheckList:
    """Remove a check list; checks recorded with it stay."""
    row = row_for(CheckList, actor, data.id)
    remove_row(row, "check_list_in_use")
    record(actor, "check list removed", ("check_list", data.id), name=row.name)
    return row


def _check_items(fields: CheckListFields) -> None:
    position = repeated_item(fields.items)
    if position is not None:
        raise Invalid("invalid", fields=[FieldError(f"items.{position}.id", "item_twice")])


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def record_check(*, actor: Actor, data: CheckRecord) -> Check:
    """Record what was found at one item of a check list."""
    refuse_known_id(Check, data.id)
    row_for(Job, actor, data.job_id, field="job_id")
    if data.finding_id is not None:
        row_for(Finding, actor, data.finding_id, field="finding_id")
    made = Check.objects.create(
        shop_id=actor.shop_id,
        checked_by_id=actor.member_id,
        **data.model_dump() | {"checked_at": actor.instant_of(data.checked_at)},
    )
    record(actor, "item checked", ("job", data.job_id), item=data.item_words, result=data.result)
    return made
