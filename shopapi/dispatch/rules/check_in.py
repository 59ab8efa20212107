"""What the condition of a machine at check-in says about safety: pure."""

from collections.abc import Sequence

from shopapi.dispatch.rules.schemas.hand_over import ConditionItem
from shopapi.jobs.rules import FindingFields, FindingRank

GUARD_MISSING = FindingFields(
    words="Guards and chute: missing",
    consequence="Guards keep hands and feet away from moving parts, the chute turns thrown stones down."
    " Without them that protection is gone.",
    rank=FindingRank.SAFETY,
)
# As `RequiredText`.
LONGEST_WORDS = 2000


def missing_guard(kind: str, condition: Sequence[ConditionItem]) -> FindingFields | None:
    """The safety finding of a check-in at which a guard is missing, with what was noted; None where none is.

    Twin: `pwa/src/domain/dispatch/checkIn.ts`; both run the vectors of `fixtures/jobs/check_in.json`.
    """
    if kind != "pickup":
        return None
    for item in condition:
        if item.part == "guards" and item.state == "missing":
            words = ". ".join(filter(None, (GUARD_MISSING.words, item.note)))
            return GUARD_MISSING.model_copy(update={"words": words[:LONGEST_WORDS]})
    return None
