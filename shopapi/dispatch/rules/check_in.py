"""What the condition of a machine at check-in says about safety: pure."""

from collections.abc import Mapping, Sequence

from shopapi.core.schema import RequiredText
from shopapi.dispatch.rules.schemas.hand_over import ConditionItem
from shopapi.jobs.rules import DeviceCondition, SafetyItemFields


class GuardItem(SafetyItemFields):
    """The safety item of the guards; `words`: the text of its finding."""

    words: RequiredText


# What each answer about the guards says, by its state at check-in.
GUARD_ITEMS: Mapping[str, GuardItem] = {
    "missing": GuardItem(
        words="Guards and chute: missing",
        device="guards_and_chute",
        condition=DeviceCondition.MISSING,
        protection_lost="Guards keep hands and feet away from moving parts, the chute turns thrown stones down."
        " Without them that protection is gone.",
    ),
    "damaged": GuardItem(
        words="Guards and chute: damaged",
        device="guards_and_chute",
        condition=DeviceCondition.NOT_WORKING,
        protection_lost="Guards keep hands and feet away from moving parts, the chute turns thrown stones down."
        " Damaged ones may no longer do that.",
    ),
}
# As `RequiredText`.
LONGEST_WORDS = 2000


def guard_item(kind: str, condition: Sequence[ConditionItem]) -> GuardItem | None:
    """The safety item of a check-in at which a guard is missing or damaged, with what was noted.

    None where none is; missing comes before damaged. Twin: `pwa/src/domain/dispatch/checkIn.ts`; both run the vectors
    of `fixtures/jobs/check_in.json`.
    """
    if kind != "pickup":
        return None
    notes = {item.state: item.note for item in condition if item.part == "guards"}
    for state, item in GUARD_ITEMS.items():
        if state in notes:
            words = ". ".join(filter(None, (item.words, notes[state])))
            return item.model_copy(update={"words": words[:LONGEST_WORDS]})
    return None
