"""What the condition of a machine at check-in says about safety: pure."""

from collections.abc import Mapping, Sequence

from shopapi.dispatch.rules.schemas.hand_over import ConditionItem
from shopapi.jobs.rules import FindingFields, FindingRank

# What each answer about the guards says, by its state at check-in.
GUARD_FINDINGS: Mapping[str, FindingFields] = {
    "missing": FindingFields(
        words="Guards and chute: missing",
        consequence="Guards keep hands and feet away from moving parts, the chute turns thrown stones down."
        " Without them that protection is gone.",
        rank=FindingRank.SAFETY,
    ),
    "damaged": FindingFields(
        words="Guards and chute: damaged",
        consequence="Guards keep hands and feet away from moving parts, the chute turns thrown stones down."
        " Damaged ones may no longer do that.",
        rank=FindingRank.SAFETY,
    ),
}
# As `RequiredText`.
LONGEST_WORDS = 2000


def guard_finding(kind: str, condition: Sequence[ConditionItem]) -> FindingFields | None:
    """The safety finding of a check-in at which a guard is missing or damaged, with what was noted.

    None where none is; missing comes before damaged. Twin: `pwa/src/domain/dispatch/checkIn.ts`; both run the vectors
    of `fixtures/jobs/check_in.json`.
    """
    if kind != "pickup":
        return None
    notes = {item.state: item.note for item in condition if item.part == "guards"}
    for state, finding in GUARD_FINDINGS.items():
        if state in notes:
            words = ". ".join(filter(None, (finding.words, notes[state])))
            return finding.model_copy(update={"words": words[:LONGEST_WORDS]})
    return None
