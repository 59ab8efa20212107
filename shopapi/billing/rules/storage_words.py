"""The line of storage as the customer reads it: the days, and the notice because of which they count.

Twin: `pwa/src/domain/words/storage.ts`.
"""

from shopapi.billing.rules.storage_days import StorageCharge, StorageTerms
from shopapi.billing.rules.texts import TEXTS
from shopapi.core.languages import Language
from shopapi.documents.rules.number_format import Figures


def storage_words(terms: StorageTerms, charge: StorageCharge, figures: Figures, language: Language) -> str:
    """The words of a line for a charge with evidence. Raises ValueError without."""
    if not charge.evidence:
        raise ValueError("storage without a notice")
    t, told = TEXTS[language], charge.evidence[0]
    through = told.on.fromordinal(told.on.toordinal() + charge.days + charge.paused_days)
    said = [
        t.say(
            "stored",
            days=charge.days,
            since=figures.day(told.on),
            through=figures.day(through),
            free=charge.days - charge.charged_days,
            rate=figures.money(terms.per_day_minor),
        )
    ]
    if charge.paused_days:
        said.append(t["stored_paused"])
    if terms.cap_minor is not None:
        said.append(t.say("stored_cap", cap=figures.money(terms.cap_minor)))
    if charge.due_minor < charge.amount_minor:
        said.append(t.say("stored_before", amount=figures.money(charge.amount_minor - charge.due_minor)))
    how = t[f"told_{told.channel}"]
    said.append(t.say("stored_told", on=figures.day(told.on), how=how, address=told.address))
    return " ".join(said)
