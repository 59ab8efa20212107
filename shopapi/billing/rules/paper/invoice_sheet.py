"""The exact text and figures of the paper of an invoice or a credit note.

Names, lines and amounts are taken from the issued document only, which its digest is of. It has no costs of the shop.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from shopapi.billing.rules.paper.facts import InvoiceFacts, PaperShop
from shopapi.billing.rules.paper.lines import Work, invoice_sums, warranty_texts, works_of
from shopapi.billing.rules.texts import TEXTS
from shopapi.core.languages import Texts, locale_for
from shopapi.documents.rules import Figures
from shopapi.quotes.rules.left_safety import LeftUnrepaired, finding_text, told_text
from shopapi.quotes.rules.pdf import ComplaintFacts, CustomerFacts
from shopapi.quotes.rules.pdf.decision import Fact
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
from shopapi.quotes.rules.pdf.lines import SumRow
from shopapi.quotes.rules.totals import QuoteTotals

IBAN_GROUP = 4


@dataclass(frozen=True, slots=True)
class SafetyBox:
    """A safety finding that was left: what, what protection is missing, who was told."""

    title: str
    lost: str
    told: str


@dataclass(frozen=True, slots=True)
class Slip:
    """The part to send back with a check, or what a transfer needs."""

    title: str
    pay_to: tuple[str, ...]
    payer: str
    what: str
    qr: str


@dataclass(frozen=True, slots=True)
class InvoiceSheet:
    """Everything the template prints, as text."""

    t: Texts
    language: str
    title: str
    name: str
    number: str
    asides: tuple[str, ...]
    foot: str
    shop_name: str
    shop_lines: tuple[str, ...]
    pay: str
    pay_by: str
    facts: tuple[Fact, ...]
    parties: tuple[Party, ...]
    complaints: tuple[ComplaintFacts, ...]
    works_head: str
    works: tuple[Work, ...]
    sums: tuple[SumRow, ...]
    cautions: tuple[str, ...]
    declined: tuple[str, ...]
    warranty: tuple[str, ...]
    safety: tuple[SafetyBox, ...]
    beside: tuple[Fact, ...]
    below: tuple[Fact, ...]
    slip: Slip | None
    digest: str

    @property
    def amount_width(self) -> str:
        """The CSS width of the column of the lines' amounts in which none is wrapped."""
        amounts = [text for work in self.works for text in (work.amount, *(line.amount for line in work.lines))]
        return wide_enough(amounts, least_mm=24, letter_rem=LETTER_REM, padding_mm=2)

    @property
    def sum_width(self) -> str:
        """The CSS width of the column of sums; the total is the largest and has the largest letters."""
        return wide_enough([row.amount for row in self.sums], least_mm=34, letter_rem=LETTER_REM * 1.56)


def lay_out_invoice(
    document: Mapping[str, Any], totals: QuoteTotals, facts: InvoiceFacts, *, shop: PaperShop
) -> InvoiceSheet:
    """Lay an invoice or a credit note out for printing. `document`: the result of `invoice_document`."""
    shown, kind = document["shown"], document["kind"]
    texts = TEXTS[shown["language"]]
    locale = locale_for(shop.locale, texts.language)
    figures = Figures(locale, document["currency"], shop.zone, texts.language)
    name, number = texts[kind], document["number"]
    title = texts.say("title", name=name, number=number)
    code = texts.say("foot_code", code=short_digest(facts.digest)) if facts.digest else ""
    pay, pay_by = _pay(document, totals, facts, texts, figures)
    words = shown["words"] if kind == "invoice" else ""
    beside, below = remarks_beside(texts, document["note"], words)
    return InvoiceSheet(
        t=texts,
        language=locale if locale.startswith(f"{texts.language}-") else texts.language,
        title=title,
        name=name,
        number=number,
        asides=_asides(kind, facts, texts),
        foot=" · ".join(filled(shown["seller"]["name"], title, code)),
        shop_name=shown["seller"]["name"],
        shop_lines=seller_lines(shown["seller"], texts),
        pay=pay,
        pay_by=pay_by,
        facts=_facts(document, facts, texts, figures),
        parties=_parties(shown, facts, texts),
        complaints=tuple(facts.complaints) if kind == "invoice" else (),
        works_head=texts["work_done" if kind == "invoice" else "what_credited"],
        works=works_of(document, facts, texts, figures),
        sums=invoice_sums(document, totals, facts, texts, figures),
        cautions=_tax_words(document, totals, texts),
        declined=_declined(facts, texts, figures),
        warranty=warranty_texts(facts.warranty, _last_days(document, facts, figures), texts, figures),
        safety=_safety(facts, texts, figures),
        beside=beside,
        below=below,
        slip=_slip(document, facts, texts, figures),
        digest=facts.digest,
    )


def seller_lines(seller: Mapping[str, str], texts: Texts) -> tuple[str, ...]:
    """Address, telephone and mail, and the numbers that a tax invoice has to name."""
    town = ", ".join(filled(seller["city"], " ".join(filled(seller["region"], seller["postcode"]))))
    numbers = (
        texts.say("tax_number", number=seller["tax_number"]) if seller["tax_number"] else "",
        texts.say("company_number", number=seller["company_number"]) if seller["company_number"] else "",
    )
    return filled(
        ", ".join(filled(one_line(seller["address"]), town, seller["country"] if seller["tax_number"] else "")),
        " · ".join(filled(seller["phone"], seller["email"])),
        " · ".join(filled(*numbers)),
    )


def _asides(kind: str, facts: InvoiceFacts, texts: Texts) -> tuple[str, ...]:
    return filled(
        texts[f"draft_{kind}"] if facts.state == "draft" else "",
        texts["cancelled_invoice"] if facts.state == "cancelled" and kind == "invoice" else "",
        texts["aside_mark"] if facts.is_mark and facts.state != "draft" else "",
    )


def _pay(
    document: Mapping[str, Any], totals: QuoteTotals, facts: InvoiceFacts, texts: Texts, figures: Figures
) -> tuple[str, str]:
    """The one large line: what is to be paid, and by when."""
    if document["kind"] == "credit_note":
        said = texts.say("we_credit", amount=figures.money(totals.total_minor))
        return said, texts.say("for_invoice", number=document["shown"]["credited_number"])
    if facts.state == "cancelled":
        return "", ""
    if facts.open_minor <= 0:
        return texts["paid_in_full"], ""
    due = document["due_on"]
    by = texts["pay_now"] if due is None else texts.say("pay_by", day=figures.day(date.fromisoformat(due)))
    return texts.say("please_pay", amount=figures.money(facts.open_minor)), by


def _facts(document: Mapping[str, Any], facts: InvoiceFacts, texts: Texts, figures: Figures) -> tuple[Fact, ...]:
    issued = figures.day(date.fromisoformat(document["issued_on"]))
    shown = document["shown"]
    rows = [(texts["invoiced" if document["kind"] == "invoice" else "credited_day"], issued)]
    if document["due_on"] is not None:
        rows.append((texts["due"], figures.day(date.fromisoformat(document["due_on"]))))
    rows += [
        (texts["corrects"], shown["credited_number"]),
        (texts["job"], shown["job_number"]),
        (texts["approved_on"], facts.approved if document["kind"] == "invoice" else ""),
    ]
    return tuple(Fact(label, value) for label, value in rows if value)


def _parties(shown: Mapping[str, Any], facts: InvoiceFacts, texts: Texts) -> tuple[Party, ...]:
    who, country = shown["customer"], shown["customer"]["country"]
    town = ", ".join(filled(who["city"], " ".join(filled(who["region"], who["postcode"]))))
    customer = CustomerFacts(
        person=who["person"],
        phone=who["phone"],
        email=who["email"],
        address="\n".join(filled(who["address"], town, "" if country == shown["seller"]["country"] else country)),
        exempt_reason="",
    )
    return parties_of(
        (who["name"], shown["machine"]),
        customer=customer,
        site=facts.site,
        machine=facts.machine if shown["machine"] else None,
        texts=texts,
    )


def _tax_words(document: Mapping[str, Any], totals: QuoteTotals, texts: Texts) -> tuple[str, ...]:
    if document["exempt"]:
        reason = document["shown"]["exempt_reason"].strip()
        return (texts.say("exempt_because", reason=reason) if reason else texts["exempt"],)
    if not totals.tax:
        return (texts["no_tax"],)
    return (texts["tax_inside"],) if document["prices_hold_tax"] else ()


def _declined(facts: InvoiceFacts, texts: Texts, figures: Figures) -> tuple[str, ...]:
    """Work that was declined and is no safety matter; that is printed in a box of its own."""
    return tuple(
        one.words if one.amount_minor is None else f"{one.words}, {figures.money(one.amount_minor)}"
        for one in facts.declined
        if not one.is_safety
    )


def _last_days(document: Mapping[str, Any], facts: InvoiceFacts, figures: Figures) -> Mapping[int, str]:
    issued = date.fromisoformat(document["issued_on"])
    days = {one.days for one in facts.warranty if one.days is not None}
    return {count: figures.day(issued + timedelta(days=count)) for count in days}


def _safety(facts: InvoiceFacts, texts: Texts, figures: Figures) -> tuple[SafetyBox, ...]:
    told = [_left_box(one, texts, figures) for one in facts.left]
    declined = [
        SafetyBox(texts.say("safety_declined", finding=one.words), "", "") for one in facts.declined if one.is_safety
    ]
    return (*told, *declined)


def _left_box(one: LeftUnrepaired, texts: Texts, figures: Figures) -> SafetyBox:
    said = f"{texts['safety_wish']} {told_text(one, texts, figures)}."
    return SafetyBox(texts.say("safety_open", finding=finding_text(one, texts)), f"{one.lost}.", said)


def _slip(document: Mapping[str, Any], facts: InvoiceFacts, texts: Texts, figures: Figures) -> Slip | None:
    if document["kind"] != "invoice" or facts.state != "issued" or facts.open_minor <= 0:
        return None
    shown, due = document["shown"], document["due_on"]
    pay_to, amount = shown["pay_to"], figures.money(facts.open_minor)
    iban = " ".join(
        pay_to["iban"].replace(" ", "")[at : at + IBAN_GROUP]
        for at in range(0, len(pay_to["iban"].replace(" ", "")), IBAN_GROUP)
    )
    seller = shown["seller"]
    return Slip(
        title=texts["slip_online" if facts.payment_url else "slip"],
        pay_to=filled(
            seller["name"],
            *seller_lines({**seller, "phone": "", "email": "", "tax_number": "", "company_number": ""}, texts),
            texts.say("online", url=facts.payment_url) if facts.payment_url else "",
            texts.say("transfer_to", name=pay_to["account_name"] or seller["name"]) if iban else "",
            texts.say("iban", iban=iban) if iban else "",
            texts.say("bic", bic=pay_to["bic"]) if iban and pay_to["bic"] else "",
        ),
        payer=f"{document['number']}, {shown['customer']['name']}",
        what=amount if due is None else texts.say("amount_by", amount=amount, day=figures.day(date.fromisoformat(due))),
        qr=facts.pay_qr,
    )
