"""The exact text and figures of a quote's PDF.

The offer document is what the customer was shown and what an approval's digest is of, so the lines' texts and prices
are taken from it only. It has no costs of the shop, so no PDF has.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from shopapi.core.languages import ENGLISH, Texts, locale_for
from shopapi.documents.rules import Figures
from shopapi.quotes.rules.pdf.changes import (
    ChangesPart,
    SignedBefore,
    change_notes,
    changes_from,
    describe_changes,
)
from shopapi.quotes.rules.pdf.decision import DecisionPart, Fact, describe_decision
from shopapi.quotes.rules.pdf.facts import (
    ComplaintFacts,
    CustomerFacts,
    DecisionFacts,
    MachineFacts,
    QuoteFacts,
    ShopHead,
    SiteFacts,
)
from shopapi.quotes.rules.pdf.letter import (
    LETTER_REM,
    Party,
    filled,
    one_line,
    parties_of,
    remarks_beside,
    short_digest,
    wide_enough,
)
from shopapi.quotes.rules.pdf.lines import RankGroup, SumRow, agreed_group, group_lines, sum_rows
from shopapi.quotes.rules.states import QuoteState
from shopapi.quotes.rules.texts import TEXTS
from shopapi.quotes.rules.totals import QuoteTotals
from shopapi.quotes.rules.wording import on_top


@dataclass(frozen=True, slots=True)
class QuoteSheet:
    """Everything the template prints, as text. Once there is a decision, sums are of the accepted lines.

    `in_part`: what becomes of a fixed discount if only some lines are accepted; empty once there is a decision.
    """

    t: Texts
    language: str
    title: str
    name: str
    number: str
    asides: tuple[str, ...]
    foot: str
    shop_name: str
    shop_lines: tuple[str, ...]
    facts: tuple[Fact, ...]
    parties: tuple[Party, ...]
    complaints: tuple[ComplaintFacts, ...]
    changes: ChangesPart | None
    groups: tuple[RankGroup, ...]
    agreed: RankGroup | None
    sums: tuple[SumRow, ...]
    on_top: str
    in_part: str
    cautions: tuple[str, ...]
    beside: tuple[Fact, ...]
    below: tuple[Fact, ...]
    digest: str
    decision: DecisionPart | None
    sign_here: bool

    @property
    def all_groups(self) -> tuple[RankGroup, ...]:
        """What is asked, by rank, then what was agreed before."""
        return self.groups if self.agreed is None else (*self.groups, self.agreed)

    @property
    def roomy(self) -> bool:
        """Whether the content fits on one page in larger letters."""
        lines = [line for group in self.all_groups for line in group.lines]
        texts = [line.words + line.included + line.found + "".join(line.parts) for line in lines]
        texts += [one.words for one in self.complaints]
        return len(lines) <= 6 and sum(map(len, texts)) <= 900 and not self.below and self.changes is None

    @property
    def amount_width(self) -> str:
        """The CSS width of the column of the lines' amounts in which none is wrapped."""
        amounts = [text for group in self.all_groups for line in group.lines for text in (line.amount, line.later)]
        return wide_enough(amounts, least_mm=24, letter_rem=LETTER_REM)

    @property
    def sum_width(self) -> str:
        """The CSS width of the column of sums; the total is the largest and has the largest letters."""
        return wide_enough([row.amount for row in self.sums], least_mm=34, letter_rem=LETTER_REM * 1.56)


def lay_out(
    *,
    offer: Mapping[str, Any],
    totals: QuoteTotals,
    quote: QuoteFacts,
    shop: ShopHead,
    customer: CustomerFacts,
    machine: MachineFacts,
    site: SiteFacts | None,
    complaints: Sequence[ComplaintFacts],
    decision: DecisionFacts | None,
    later: int | None = None,
    before: SignedBefore | None = None,
) -> QuoteSheet:
    """Lay a quote out for printing.

    offer      the result of `offer_document`: the quote as it was shown, all lines counted
    totals     the totals of the same lines: all of them, or those accepted by a decision that matches
    later      the total of the same lines done later; None where no line has a later price
    before     the quote that was signed before this revision
    """
    texts = TEXTS[offer.get("language", ENGLISH)]
    locale = locale_for(shop.locale, texts.language)
    figures = Figures(locale, offer["currency"], shop.zone, texts.language)
    answered = decision if decision is not None and decision.matches else None
    sign_here = quote.state == "offered" and decision is None
    changes = [] if before is None else changes_from(before, offer["lines"])
    notes = {} if before is None else change_notes(before, changes, texts, figures)
    groups = group_lines(offer, texts, figures, answered, unanswered="" if sign_here else texts["open"], notes=notes)
    number = quote.number or quote.mark
    name = texts["quote_added" if offer["kind"] == "added" else "quote"]
    title = texts.say(
        "title_revision" if offer["revision"] > 1 else "title", name=name, number=number, revision=offer["revision"]
    )
    has_safety_lines = any(line["rank"] == "safety" for line in offer["lines"])
    beside, below = remarks_beside(texts, quote.note, offer["terms"])
    shown_text = texts.say("foot_code", code=short_digest(quote.digest)) if quote.digest else ""
    return QuoteSheet(
        t=texts,
        language=locale if locale.startswith(f"{texts.language}-") else texts.language,
        title=title,
        name=name,
        number=number,
        asides=_asides(offer, quote, texts, figures),
        foot=" · ".join(filled(offer["shop"], title, shown_text)),
        shop_name=offer["shop"],
        shop_lines=filled(one_line(shop.address), " · ".join(filled(shop.phone, shop.email))),
        facts=_facts(offer, quote, texts, figures),
        parties=parties_of(
            (offer["customer"], offer["machine"]), customer=customer, site=site, machine=machine, texts=texts
        ),
        complaints=tuple(complaints),
        changes=None if before is None else describe_changes(before, changes, texts, figures, is_open=answered is None),
        groups=groups,
        agreed=agreed_group(offer, texts, figures),
        sums=sum_rows(offer, totals, texts, figures, answered=answered, later=later),
        on_top=on_top(
            texts,
            supplies=any(row["key"] == "supplies" for row in offer["added"]),
            tax=bool(offer["tax"]),
            tax_inside=offer["prices_hold_tax"],
        ),
        in_part="" if answered else offer.get("in_part", ""),
        cautions=filled(
            _tax_words(offer, totals.tax if answered else offer["tax"], customer, texts),
            offer.get("credited", ""),
            texts["caution_safety"] if has_safety_lines else "",
            texts["caution_manuals"],
            texts["caution_rules"],
            texts["caution_findings"],
        ),
        beside=beside,
        below=below,
        digest=quote.digest or "",
        decision=describe_decision(decision, groups, texts, figures) if decision else None,
        sign_here=sign_here,
    )


def _asides(offer: Mapping[str, Any], quote: QuoteFacts, texts: Texts, figures: Figures) -> tuple[str, ...]:
    """Notices above the content of the PDF."""
    until = figures.day(date.fromisoformat(offer["valid_until"]))
    by_state: Mapping[QuoteState, str] = {
        "draft": texts["aside_draft"],
        "lapsed": texts.say("aside_lapsed", until=until),
        "replaced": texts["aside_replaced"],
        "withdrawn": texts["aside_withdrawn"],
    }
    return filled(
        by_state.get(quote.state, ""),
        "" if quote.number else texts["aside_mark"],
    )


def _facts(offer: Mapping[str, Any], quote: QuoteFacts, texts: Texts, figures: Figures) -> tuple[Fact, ...]:
    facts = [Fact(texts["good_until"], figures.day(date.fromisoformat(offer["valid_until"])))]
    if quote.offered_at:
        facts.append(Fact(texts["quoted"], figures.moment(quote.offered_at)))
    facts += [Fact(texts["job"], quote.job), Fact(texts["revision"], str(offer["revision"]))]
    return tuple(facts)


def _tax_words(offer: Mapping[str, Any], taxed: Sequence[Any], customer: CustomerFacts, texts: Texts) -> str:
    if offer["exempt"]:
        reason = customer.exempt_reason.strip()
        return texts.say("exempt_because", reason=reason) if reason else texts["exempt"]
    if not taxed:
        # The whole offer may have taxed lines although none of the counted ones is taxed.
        return texts["no_tax_approved" if offer["tax"] else "no_tax"]
    return texts["tax_inside" if offer["prices_hold_tax"] else "tax_added"]
