"""The exact text and figures of a quote's PDF.

The offer document is what the customer was shown and what an approval's digest is of, so the lines' texts and prices
are taken from it only. It has no costs of the shop, so no PDF has.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from shopapi.customers.rules.customer import place_lines
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
from shopapi.quotes.rules.pdf.lines import RankGroup, SumRow, agreed_group, group_lines, sum_rows
from shopapi.quotes.rules.states import QuoteState
from shopapi.quotes.rules.totals import QuoteTotals
from shopapi.quotes.rules.wording import on_top

CAUTIONS = (
    "The manufacturer's manuals for the machine and engine take precedence over this quote.",
    "Local rules on fuel, noise, spark arresters, waste oil and towing apply. Check them for your area.",
    "Findings describe what we saw and measured that day. They don't predict future condition.",
)
SAFETY_CAUTION = "Please don't use the machine until the items under Safety have been repaired."

ROOM_BESIDE = 420
LINE_BESIDE = 55
"""How many characters fit beside the sums without making the page longer, and how many fit on one line there."""


LETTER_REM = 0.58
"""Width of a letter or digit of an amount in em; bold digits take 0.54."""


@dataclass(frozen=True, slots=True)
class Party:
    """One of: the customer, the site, the machine."""

    title: str
    name: str
    lines: tuple[str, ...]
    is_machine: bool = False


@dataclass(frozen=True, slots=True)
class QuoteSheet:
    """Everything the template prints, as text. Once there is a decision, sums are of the accepted lines.

    `in_part`: what becomes of a fixed discount if only some lines are accepted; empty once there is a decision.
    """

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
        return _wide_enough(amounts, least_mm=24, letter_rem=LETTER_REM)

    @property
    def sum_width(self) -> str:
        """The CSS width of the column of sums; the total is the largest and has the largest letters."""
        return _wide_enough([row.amount for row in self.sums], least_mm=34, letter_rem=LETTER_REM * 1.56)


def _wide_enough(amounts: Sequence[str], *, least_mm: int, letter_rem: float) -> str:
    longest = max(map(len, amounts), default=0)
    # A rem is 9 pt at least, which is 3.175 mm.
    return f"{least_mm}mm" if longest * letter_rem * 3.175 <= least_mm else f"{longest * letter_rem:.2f}rem"


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
    figures = Figures(shop.locale, offer["currency"], shop.zone)
    answered = decision if decision is not None and decision.matches else None
    sign_here = quote.state == "offered" and decision is None
    changes = [] if before is None else changes_from(before, offer["lines"])
    notes = {} if before is None else change_notes(before, changes, figures)
    groups = group_lines(offer, figures, answered, unanswered="" if sign_here else "Open", notes=notes)
    number = quote.number or quote.mark
    name = "Quote for added work" if offer["kind"] == "added" else "Quote"
    title = f"{name} {number}{_revision(offer)}"
    has_safety_lines = any(line["rank"] == "safety" for line in offer["lines"])
    beside, below = _remarks(quote.note, offer["terms"])
    shown_text = f"document code {short_digest(quote.digest)}" if quote.digest else ""
    return QuoteSheet(
        language=shop.locale if shop.locale.startswith("en-") else "en",
        title=title,
        name=name,
        number=number,
        asides=_asides(offer, quote, figures),
        foot=" · ".join(_filled(offer["shop"], title, shown_text)),
        shop_name=offer["shop"],
        shop_lines=_filled(_one_line(shop.address), " · ".join(_filled(shop.phone, shop.email))),
        facts=_facts(offer, quote, figures),
        parties=_parties(offer, customer, site, machine),
        complaints=tuple(complaints),
        changes=None if before is None else describe_changes(before, changes, figures, is_open=answered is None),
        groups=groups,
        agreed=agreed_group(offer, figures),
        sums=sum_rows(offer, totals, figures, answered, later),
        on_top=on_top(
            supplies=any(row["key"] == "supplies" for row in offer["added"]),
            tax=bool(offer["tax"]),
            tax_inside=offer["prices_hold_tax"],
        ),
        in_part="" if answered else offer.get("in_part", ""),
        cautions=_filled(
            _tax_words(offer, totals.tax if answered else offer["tax"], customer),
            offer.get("credited", ""),
            SAFETY_CAUTION if has_safety_lines else "",
            *CAUTIONS,
        ),
        beside=beside,
        below=below,
        digest=quote.digest or "",
        decision=describe_decision(decision, groups, figures) if decision else None,
        sign_here=sign_here,
    )


def _revision(offer: Mapping[str, Any]) -> str:
    return f", revision {offer['revision']}" if offer["revision"] > 1 else ""


def short_digest(digest: str) -> str:
    """The first eight digits of a digest in two groups, for reading out: "3f9a 61c2"."""
    return f"{digest[:4]} {digest[4:8]}"


def _filled(*texts: str) -> tuple[str, ...]:
    return tuple(text.strip() for text in texts if text.strip())


def _one_line(address: str) -> str:
    return ", ".join(_filled(*(line.rstrip(" ,") for line in address.splitlines())))


def _asides(offer: Mapping[str, Any], quote: QuoteFacts, figures: Figures) -> tuple[str, ...]:
    """Notices above the content of the PDF."""
    until = figures.day(date.fromisoformat(offer["valid_until"]))
    by_state: Mapping[QuoteState, str] = {
        "draft": "Draft, not a quote yet.",
        "lapsed": f"Expired on {until}.",
        "replaced": "Replaced by a later revision.",
        "withdrawn": "Withdrawn by the shop.",
    }
    return _filled(
        by_state.get(quote.state, ""),
        "" if quote.number else "Temporary number; the final number follows.",
    )


def _facts(offer: Mapping[str, Any], quote: QuoteFacts, figures: Figures) -> tuple[Fact, ...]:
    facts = [Fact("Good until", figures.day(date.fromisoformat(offer["valid_until"])))]
    if quote.offered_at:
        facts.append(Fact("Quoted", figures.moment(quote.offered_at)))
    facts += [Fact("Job", quote.job), Fact("Revision", str(offer["revision"]))]
    return tuple(facts)


def _parties(
    offer: Mapping[str, Any], customer: CustomerFacts, site: SiteFacts | None, machine: MachineFacts
) -> tuple[Party, ...]:
    reach = _filled(customer.person, _one_line(customer.address), customer.phone, customer.email)
    parties = [Party("For", offer["customer"], reach)]
    if site:
        where = [_one_line(line) for line in place_lines(site.label, site.address)]
        parties.append(Party("Machine location", where[0], _filled(*where[1:])))
    made = (f"Year {machine.year}" if machine.year else "", f"Tag {machine.tag}" if machine.tag else "")
    engine = (
        " ".join(_filled(machine.engine_make, machine.engine_model)),
        f"serial {machine.engine_serial}" if machine.engine_serial else "",
    )
    details = _filled(
        ", ".join(_filled(*made)),
        f"Engine {', '.join(_filled(*engine))}" if any(engine) else "",
    )
    parties.append(Party("Machine", offer["machine"], details, is_machine=True))
    return tuple(parties)


def _tax_words(offer: Mapping[str, Any], taxed: Sequence[Any], customer: CustomerFacts) -> str:
    if offer["exempt"]:
        reason = customer.exempt_reason.strip()
        return f"No tax: the customer is exempt ({reason})." if reason else "No tax: the customer is exempt."
    if not taxed:
        # The whole offer may have taxed lines although none of the counted ones is taxed.
        return "No tax applies to the approved items." if offer["tax"] else "No tax applies."
    return "Prices include tax." if offer["prices_hold_tax"] else "Tax is added to these prices."


def _remarks(note: str, terms: str) -> tuple[tuple[Fact, ...], tuple[Fact, ...]]:
    """The note and the terms: beside the sums if they fit there, else below them."""
    beside: list[Fact] = []
    below: list[Fact] = []
    room = ROOM_BESIDE
    for label, text in (("Note", note.strip()), ("Terms", terms.strip())):
        if not text:
            continue
        room -= len(text) + LINE_BESIDE * (1 + text.count("\n"))
        (beside if room >= 0 else below).append(Fact(label, text))
    return tuple(beside), tuple(below)
