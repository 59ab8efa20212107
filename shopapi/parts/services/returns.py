"""Returns to suppliers: their only writer."""

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.edits import edit_row
from shopapi.core.errors import Conflict, FieldError, Invalid
from shopapi.core.rows import refuse_known_id, remove_row, row_for
from shopapi.core.schema import Edit, Target
from shopapi.parts.models import PartNeed, PartOrderLine, PartReturn, Supplier
from shopapi.parts.rules.needs import PartState
from shopapi.parts.rules.returns import (
    NewPartReturn,
    PartReturnFields,
    ReturnReason,
    ReturnRefunded,
    ReturnRefused,
    ReturnSent,
    ReturnState,
    may_become,
    state_when_refunded,
)
from shopapi.parts.services.needs import set_part_state


@command(needs=Permission.WORK_JOBS, creates_row=True)
def add_part_return(*, actor: Actor, data: NewPartReturn) -> PartReturn:
    """Note a part that goes back to its supplier."""
    refuse_known_id(PartReturn, data.id)
    row_for(Supplier, actor, data.supplier_id, field="supplier_id")
    if not (data.number or data.description):
        raise Invalid("invalid", fields=[FieldError("description", "part_order_line_empty")])
    if data.order_line_id is not None:
        line = row_for(PartOrderLine, actor, data.order_line_id, field="order_line_id")
        if line.order.supplier_id != data.supplier_id:
            raise Invalid("invalid", fields=[FieldError("supplier_id", "line_of_another_supplier")])
    if data.need_id is not None:
        row_for(PartNeed, actor, data.need_id, field="need_id")
    made = PartReturn.objects.create(shop_id=actor.shop_id, **data.model_dump())
    record(actor, "part return noted", ("part_return", made.id), reason=made.reason)
    return made


@command(needs=Permission.WORK_JOBS)
def edit_part_return(*, actor: Actor, data: Edit[PartReturnFields]) -> PartReturn:
    """Change what is noted of a return."""
    return edit_row(actor=actor, kind="part_return", row=row_for(PartReturn, actor, data.id), edit=data)


@command(needs=Permission.WORK_JOBS, deletes_row=True)
def remove_part_return(*, actor: Actor, data: Target) -> PartReturn:
    """Delete a return that was noted by mistake."""
    row = row_for(PartReturn, actor, data.id)
    if row.state != ReturnState.TO_SEND or row.refunded_minor is not None:
        raise Conflict("in_use", message="part_return_in_use")
    remove_row(row, "part_return_in_use")
    record(actor, "part return deleted", ("part_return", row.id))
    return row


@command(needs=Permission.WORK_JOBS, fact=True, rest_name="sent")
def send_part_return(*, actor: Actor, data: ReturnSent) -> PartReturn:
    """Record that a part is on its way back; the first day counts. One that is not needed is sent back for its job."""
    row = row_for(PartReturn, actor, data.id)
    if row.sent_on is not None and row.state != ReturnState.REFUSED:
        return row
    row.sent_on = data.sent_on
    if may_become(ReturnState(row.state), ReturnState.SENT):
        row.state = ReturnState.SENT
    row.save(update_fields=["sent_on", "state"])
    record(actor, "part sent back", ("part_return", row.id), on=data.sent_on)
    if row.reason == ReturnReason.NOT_NEEDED and row.need_id is not None:
        need = row_for(PartNeed, actor, row.need_id)
        if need.state == PartState.ARRIVED:
            set_part_state(actor=actor, need=need, state=PartState.SENT_BACK)
    return row


@command(needs=Permission.ORDER_PARTS, fact=True, rest_name="refund")
def refund_part_return(*, actor: Actor, data: ReturnRefunded) -> PartReturn:
    """Record money that came back; settled once it is all that was expected, or no more will come."""
    row = row_for(PartReturn, actor, data.id)
    refunded = (row.refunded_minor or 0) + data.amount_minor
    if refunded < 0 or (data.amount_minor == 0 and not data.rest_lost):
        raise Invalid("invalid", fields=[FieldError("amount_minor", "refund_below_zero")])
    row.state = state_when_refunded(
        ReturnState(row.state),
        row.expected_minor,
        refunded,
        was_sent=row.sent_on is not None,
        rest_lost=data.rest_lost,
    )
    row.refunded_minor, row.refunded_on = refunded, data.refunded_on
    row.save(update_fields=["refunded_minor", "refunded_on", "state"])
    record(actor, "part refunded", ("part_return", row.id), amount=data.amount_minor, state=row.state)
    return row


@command(needs=Permission.ORDER_PARTS, fact=True, rest_name="refused")
def refuse_part_return(*, actor: Actor, data: ReturnRefused) -> PartReturn:
    """Record that the supplier does not take a part back."""
    row = row_for(PartReturn, actor, data.id)
    if may_become(ReturnState(row.state), ReturnState.REFUSED):
        row.state, row.note = ReturnState.REFUSED, data.note or row.note
        row.save(update_fields=["state", "note"])
        record(actor, "part return refused", ("part_return", row.id))
    return row
