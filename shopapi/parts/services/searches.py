"""Tries to get a part: their only writer."""

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.jobs.models import SafetyItem
from shopapi.jobs.rules import PartSearchRecord
from shopapi.jobs.services import note_part_search
from shopapi.parts.models import PartNeed, PartSearch
from shopapi.parts.rules.searches import NeedSearchRecord, answer_with_alternative


@command(needs=Permission.WORK_JOBS, fact=True, creates_row=True)
def record_part_search(*, actor: Actor, data: NeedSearchRecord) -> PartSearch:
    """Keep where a part was asked for, and the answer; also as evidence of its finding's safety items."""
    refuse_known_id(PartSearch, data.id)
    need = row_for(PartNeed, actor, data.need_id, field="need_id")
    asked_at = actor.instant_of(data.asked_at)
    made = PartSearch.objects.create(
        shop_id=actor.shop_id, member_id=actor.member_id, **data.model_dump() | {"asked_at": asked_at}
    )
    record(actor, "part searched for", ("part_need", need.id), asked=data.asked)
    if need.finding_id is not None:
        items = SafetyItem.objects.filter(shop=actor.shop_id, finding=need.finding_id, repaired=False)
        for item_id in items.order_by("id").values_list("id", flat=True):
            answer = answer_with_alternative(data.answer, data.alternative)
            asked = PartSearchRecord(id=item_id, where=data.asked, answer=answer, asked_at=data.asked_at)
            note_part_search.within(actor=actor, data=asked)
    return made
