"""The content of the customer page: the texts of the PDF, pictures, and the state of the answers."""

import re
from collections.abc import Collection
from dataclasses import dataclass
from uuid import UUID

from shopapi.accounts.models import Shop
from shopapi.core.clock import now
from shopapi.core.errors import Reason
from shopapi.core.languages import Texts
from shopapi.core.rendering import render, speaking
from shopapi.core.tenancy import in_shop
from shopapi.documents.services.storage import read_document
from shopapi.files.models import Attachment
from shopapi.files.queries import read_picture
from shopapi.jobs.models import Finding
from shopapi.quotes import queries
from shopapi.quotes.models import ApprovalLink, Quote
from shopapi.quotes.queries import approval_requests
from shopapi.quotes.rules.approval_requests import LinkStatus, link_status
from shopapi.quotes.rules.pdf import QuoteSheet
from shopapi.quotes.rules.pdf.lines import LineRow
from shopapi.quotes.services.approval_requests import LinkVisit
from shopapi.quotes.services.links import address_of
from shopapi.quotes.services.quote_pdf import kept_answers, page_of


@dataclass(frozen=True)
class PageLine:
    """A line to accept or decline, with the finding it repairs and that finding's pictures."""

    row: LineRow
    finding: Finding | None
    # With what each shows, in words.
    pictures: tuple[tuple[Attachment, str], ...]
    chosen: str

    @property
    def key(self) -> str:
        return f"line-{self.row.id}"

    @property
    def found(self) -> str:
        """The text of the finding: from the offer, or from the finding itself for offers that do not contain it."""
        words = self.row.found or (self.finding.words if self.finding else "")
        return "" if words == self.row.words else words


@dataclass(frozen=True)
class PageGroup:
    rank: str
    title: str
    plain: str
    lines: tuple[PageLine, ...]


@dataclass(frozen=True)
class PageContents:
    """A request as its page shows it, in the language of the offer.

    `person` sent it; `newer` is the path of the request that replaced it.
    """

    shop: Shop
    person: str
    sheet: QuoteSheet
    everything: str
    groups: tuple[PageGroup, ...]
    status: LinkStatus
    gone: str
    newer: str
    pdf_state: str

    @property
    def t(self) -> Texts:
        return self.sheet.t

    @property
    def missing(self) -> str:
        return self.t.count("missing", len(self.unanswered))

    @property
    def unanswered(self) -> list[PageLine]:
        return [line for group in self.groups for line in group.lines if not line.chosen]

    @property
    def safety_declined(self) -> bool:
        return any(line.chosen == "no" for group in self.groups if group.rank == "safety" for line in group.lines)

    @property
    def dialled(self) -> str:
        """The shop's phone number for a `tel:` address."""
        return re.sub(r"[^+0-9]", "", self.shop.phone)

    @property
    def total(self) -> str:
        return next(row.amount for row in self.sheet.sums if row.weight == "total")


def page_contents(
    *, visit: LinkVisit, yes: Collection[UUID] | None = None, no: Collection[UUID] | None = None
) -> PageContents:
    """The content of a link's page, with the totals of the lines accepted so far.

    Where nothing was chosen on the page yet, what has not changed since the signed quote is answered as it was then;
    only while the request is open.
    """
    with in_shop(visit.shop_id):
        link, quote = _link(visit)
        lines = queries.lines_of(quote)
        status = link_status(approval_requests.link_facts(link, quote), now())
        if status != "open":
            # Once it is decided, the lines show the decision, not what was chosen or kept before it.
            yes, no = [], []
        elif yes is None or no is None:
            yes, no = kept_answers(quote)
        yes, no = queries.whole_questions(lines, yes), queries.whole_questions(lines, no)
        shop = Shop.objects.get(id=visit.shop_id)
        sheet = page_of(quote, shop, counted=yes)
        after = approval_requests.successor_of(link, quote)
        everything = next(row.amount for row in page_of(quote, shop).sums if row.weight == "total")
        with speaking(sheet.t.language):
            gone = "" if status == "open" else render(Reason(f"link_{status}"))
        return PageContents(
            shop=shop,
            person="" if link.created_by is None else link.created_by.name,
            sheet=sheet,
            everything=sheet.t.say("everything", total=everything),
            groups=_groups(visit, quote, sheet, set(yes), set(no)),
            status=status,
            gone=gone,
            newer="" if after is None else "/ask/" + address_of(after).rsplit("/", 1)[1],
            pdf_state=quote.pdf_state,
        )


def _link(visit: LinkVisit) -> tuple[ApprovalLink, Quote]:
    link = ApprovalLink.objects.select_related("quote__job__customer", "created_by").get(
        id=visit.link_id, shop=visit.shop_id
    )
    return link, link.quote


def _groups(visit: LinkVisit, quote: Quote, sheet: QuoteSheet, yes: set[UUID], no: set[UUID]) -> tuple[PageGroup, ...]:
    repairing = approval_requests.findings_of(quote)
    pictures: dict[UUID, list[Attachment]] = {}
    for picture in approval_requests.pictures_of(visit.actor, quote):
        pictures.setdefault(picture.about_id, []).append(picture)
    shown: set[UUID] = set()

    def asked(row: LineRow) -> PageLine:
        line = next((repairing[one] for one in row.ids if one in repairing), None)
        finding = None if line is None or line.finding_id in shown else line.finding
        if finding is not None:
            shown.add(finding.id)
        chosen = "yes" if row.id in yes else "no" if row.id in no else ""
        found = pictures.get(finding.id, ()) if finding else ()
        shots = tuple((one, one.caption or sheet.t.say("photo", count=at)) for at, one in enumerate(found, 1))
        return PageLine(row, finding, shots, chosen)

    return tuple(
        PageGroup(group.rank, group.title, group.plain, tuple(map(asked, group.lines))) for group in sheet.groups
    )


CLOSED: frozenset[LinkStatus] = frozenset({"taken_back", "withdrawn", "ended"})
"""Statuses in which the page no longer shows the offer."""


def _is_closed(link: ApprovalLink, quote: Quote) -> bool:
    return link_status(approval_requests.link_facts(link, quote), now()) in CLOSED


def picture_for(*, visit: LinkVisit, picture_id: UUID, small: bool) -> bytes | None:
    """A picture of a finding that the request is about; None for any other picture."""
    with in_shop(visit.shop_id):
        link, quote = _link(visit)
        if _is_closed(link, quote):
            return None
        found = approval_requests.pictures_of(visit.actor, quote).filter(id=picture_id).first()
        return None if found is None else read_picture(found, small=small)


def pdf_for(*, visit: LinkVisit) -> tuple[str, bytes] | None:
    """The name and bytes of the PDF of the request's quote; None while it is not made."""
    with in_shop(visit.shop_id):
        link, quote = _link(visit)
        if _is_closed(link, quote) or quote.pdf_state != "ready" or quote.pdf is None:
            return None
        return f"{quote.number}-{quote.revision}.pdf", read_document(actor=visit.actor, document=quote.pdf)
