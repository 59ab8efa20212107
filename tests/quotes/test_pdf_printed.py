"""The rendered PDF of a quote: text, tags, fonts, pages, bytes, and no access to network or files."""

import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from decimal import Decimal
from functools import cache
from io import BytesIO
from itertools import count
from pathlib import Path
from typing import Any

import page
import pytest
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

from shopapi.accounts.rules import PaperSize
from shopapi.documents.rules import UNDRAWN, Figures, families
from shopapi.documents.services import render_pdf
from shopapi.quotes.rules import QuoteLine
from shopapi.quotes.rules.lines import RANKS
from shopapi.quotes.rules.pdf import ComplaintFacts, CustomerFacts, MachineFacts, ShopHead, SiteFacts
from shopapi.quotes.rules.price_book import TaxRate
from tests.documents.canary import canary
from tests.documents.test_pdf import UNASSIGNED
from tests.quotes.pdf_case import CUSTOMER, SHOP, Case, book, case, lines

TEMPLATE = "quotes/quote.html"
ROOT = Path(__file__).parents[2]


def printed(made: Case, paper_size: PaperSize = "letter") -> bytes:
    return render_pdf(TEMPLATE, {"quote": made.sheet}, paper_size=paper_size, language=made.sheet.language)


def read(pdf: bytes) -> PdfReader:
    return PdfReader(BytesIO(pdf))


def text_of(pdf: bytes) -> str:
    return "\n".join(each.extract_text() for each in read(pdf).pages)


def flat(text: str) -> str:
    """Without white space: where lines are broken says nothing of what is written."""
    return re.sub(r"\s", "", text)


@cache
def undecided() -> bytes:
    return printed(case())


@cache
def decided() -> bytes:
    return printed(case(declined={8, 11}))


# The figures


def amounts_of(made: Case, currency: str = "USD", locale: str = "en-US") -> list[str]:
    """Every amount that the PDF must show, in its order, from the offer and the totals alone."""
    money = Figures(locale, currency, "UTC").money
    offer, totals = made.offer, made.totals
    shown: list[int] = []
    for rank in RANKS:
        for line in offer["lines"]:
            if line["rank"] == rank and line["kind"] != "discount":
                shown += [minor for minor in (line["discount_minor"], line["core_minor"]) if minor]
                shown += [] if line["unit_minor"] is None or not line["quantity"] else [line["unit_minor"]]
                shown.append(line["amount_minor"])
    ranked = {line["rank"] for line in offer["lines"] if line["kind"] != "discount"}
    shown += [getattr(totals.by_rank, rank) for rank in RANKS if rank in ranked]
    discounts = {line["id"] for line in offer["lines"] if line["kind"] == "discount"}
    shown += [line.amount_minor for line in totals.lines if str(line.id) in discounts]
    shown += [added.amount_minor for added in totals.added]
    taxes = [minor for row in totals.tax for minor in (row.base_minor, row.tax_minor)]
    if offer["prices_hold_tax"]:
        shown += [totals.total_minor, *taxes, totals.net_minor]
    else:
        shown += [totals.net_minor, *taxes, totals.total_minor]
    if totals.deposit_minor:
        shown += [totals.deposit_minor, totals.owed_after_deposit_minor]
    if made.sheet.decision:
        shown += [offer["total_minor"], totals.total_minor]
    return [money(minor).replace("\u00a0", " ") for minor in shown]


@pytest.mark.parametrize(
    ("make", "locale", "currency", "pattern"),
    [
        (case, "en-US", "USD", r"-?\$[\d,]+\.\d\d"),
        (lambda: case(declined={8, 11}), "en-US", "USD", r"-?\$[\d,]+\.\d\d"),
        (
            lambda: case(
                shop=replace(SHOP, locale="en-AU"),
                the_book=book(
                    currency="AUD",
                    inclusive=True,
                    rates=(TaxRate(key="gst", label="GST", percent=Decimal(10)),),
                ),
            ),
            "en-AU",
            "AUD",
            r"-?\$[\d,]+\.\d\d",
        ),
        (
            lambda: case(
                declined={1},
                shop=replace(SHOP, locale="de-DE"),
                the_book=book(currency="EUR", rates=(TaxRate(key="ust", label="USt", percent=Decimal(19)),)),
            ),
            "de-DE",
            "EUR",
            r"-?[\d.]+,\d\d €",
        ),
        (
            lambda: case(shop=replace(SHOP, locale="ja-JP"), the_book=book(currency="JPY", minor_digits=0)),
            "ja-JP",
            "JPY",
            r"-?¥\d{1,3}(?:,\d{3})*",
        ),
    ],
    ids=["open", "decided", "tax-inside", "euro", "yen"],
)
def test_every_amount_of_the_totals_is_printed_in_its_order(
    make: Callable[[], Case], locale: str, currency: str, pattern: str
) -> None:
    made = make()
    text = text_of(printed(made)).replace("\u00a0", " ")
    assert re.findall(pattern, text) == amounts_of(made, currency, locale)


def test_texts_are_printed_as_they_were_shown() -> None:
    made = case(declined={8, 11})
    text = flat(text_of(decided()))
    for line in made.offer["lines"]:
        assert flat(line["words"]) in text
        assert flat(line["included"]) in text
    for words in (
        "Tolliver Small Engine",
        "Marla Quist",
        made.offer["machine"],
        made.offer["terms"],
        "It screeches when I put the blades in and will not stop turning when I let them out.",
        "after ten minutes, worse uphill",
        f"Document code {made.digest}",
        "Answered by Marla Quist",
        "Page 1 of 1",
    ):
        assert flat(words) in text


# The form


@pytest.mark.parametrize(
    ("paper_size", "points"), [("letter", (612.0, 792.0)), ("a4", (595.28, 841.89))], ids=["letter", "a4"]
)
def test_pages_have_the_size_of_the_shop_s_paper(paper_size: PaperSize, points: tuple[float, float]) -> None:
    for each in read(printed(case(lines(30)), paper_size)).pages:
        assert (float(each.mediabox.width), float(each.mediabox.height)) == pytest.approx(points, abs=0.01)


@pytest.mark.parametrize("paper_size", ["letter", "a4"])
@pytest.mark.parametrize(
    ("number", "declined", "pages"),
    [(1, None, 1), (1, set(), 1), (6, {1}, 1), (13, None, 1), (13, {8, 11}, 1), (61, {1}, 3)],
)
def test_an_ordinary_quote_takes_one_page_and_a_long_one_more(
    number: int, declined: set[int] | None, pages: int, paper_size: PaperSize
) -> None:
    pdf = printed(case(lines(number), declined=declined), paper_size)
    texts = [each.extract_text() for each in read(pdf).pages]
    assert len(texts) == pages
    for at, text in enumerate(texts, start=1):
        assert f"Page {at} of {pages}" in text


def test_on_more_pages_the_head_is_repeated_and_the_sums_do_not_stand_alone() -> None:
    # Whatever number of lines a page ends with, at least one goes with the sums.
    for number in range(24, 44, 4):
        texts = [each.extract_text() for each in read(printed(case(lines(number), note=""))).pages]
        assert len(texts) == 2
        last = texts[-1]
        assert last.index("Approve?") < last.index("$") < last.index("Please note")
        assert "Total" not in texts[0]


@pytest.mark.parametrize("made", [undecided, decided], ids=["open", "decided"])
def test_the_pdf_is_tagged_as_pdf_ua(made: Callable[[], bytes]) -> None:
    reader = read(made())
    root: Any = reader.trailer["/Root"]
    assert bool(root["/MarkInfo"]["/Marked"])
    assert root["/Lang"] == "en-US"
    assert bool(root["/ViewerPreferences"]["/DisplayDocTitle"])
    assert reader.metadata is not None
    assert reader.metadata.title == "Quote Q-311"
    assert reader.metadata.creation_date is None
    assert re.search(rb'pdfuaid:part="1"', root["/Metadata"].get_data())
    kinds = [kind for kind, _ in structure(root)]
    assert {kind: kinds.count(kind) for kind in ("/H1", "/Table", "/Figure")} == {
        "/H1": 1,
        "/Table": 4,
        "/Figure": int(made is decided),
    }
    assert kinds.count("/TD") > 40


def structure(root: Any) -> Iterator[tuple[str, Any]]:
    def walk(node: Any) -> Iterator[tuple[str, Any]]:
        node = node.get_object()
        if isinstance(node, list):
            for kid in node:
                yield from walk(kid)
        elif isinstance(node, DictionaryObject):
            if "/S" in node:
                yield str(node["/S"]), node
            if "/K" in node:
                yield from walk(node["/K"])

    yield from walk(root["/StructTreeRoot"]["/K"])


def test_the_ink_has_words_and_is_drawn() -> None:
    reader = read(decided())
    (figure,) = [node for kind, node in structure(reader.trailer["/Root"]) if kind == "/Figure"]
    words = "Signature of Marla Quist, drawn by hand in 4 strokes, Nov 25, 2026, 2:14\N{NO-BREAK SPACE}PM MST"
    assert figure["/Alt"] == words
    contents = reader.pages[0].get_contents()
    without = read(printed(case(declined={8, 11}, with_ink=False))).pages[0].get_contents()
    assert contents is not None
    assert without is not None
    # Two loops of forty points and a line of two are curves.
    curves = [content.get_data().count(b" c\n") for content in (contents, without)]
    assert curves[0] - curves[1] == 2 * 39 + 1


@pytest.mark.parametrize(
    "make",
    [
        case,
        lambda: case(declined={8, 11}),
        lambda: case(lines(1), number=None, site=None, complaints=()),
        lambda: case(lines(61), declined={1}, said="On the phone. " * 300),
        lambda: case(declined={1}, matches=False, exempt=True),
        lambda: case(kind="added", state="lapsed", revision=3, the_book=book(terms="Terms. " * 500)),
        lambda: case(customer_name=f"נועה نور Ζωή 🔧 中{chr(UNASSIGNED)}"),
    ],
    ids=["open", "decided", "one-line", "long", "mismatch", "added", "scripts"],
)
@pytest.mark.parametrize("paper_size", ["letter", "a4"])
def test_a_validator_finds_nothing_against_pdf_ua(make: Callable[[], Case], paper_size: PaperSize) -> None:
    """Outside check: page-validation's PDF/UA-1 profile, 104 rules."""
    report = page.validate_pdf_bytes(printed(make(), paper_size), profile=page.ValidationProfile.PDF_UA_1)
    assert [(failure.rule_id, failure.message) for failure in report.failures] == []
    assert report.is_compliant
    assert report.rules.passed == report.rules.total >= 100


def test_every_font_is_ours_embedded_and_cut_down_to_its_letters() -> None:
    ours = {family.strip('"').replace(" ", "-") for family in families().split(", ")}
    for pdf in (undecided(), printed(case(customer_name="Ζωή Żółć נועה نور 🔧 ≤"))):
        resources: Any = read(pdf).pages[0]["/Resources"]
        fonts = [font.get_object() for font in resources["/Font"].values()]
        for font in fonts:
            subset, _, name = font["/BaseFont"].removeprefix("/").partition("+")
            assert re.fullmatch("[A-Z]{6}", subset)
            assert any(name == family or name.startswith(f"{family}-") for family in ours), name
            (below,) = font["/DescendantFonts"]
            assert "/FontFile2" in below.get_object()["/FontDescriptor"]
            assert "/ToUnicode" in font
        assert len(pdf) < 80_000


# The bytes


def test_the_same_quote_gives_the_same_bytes_here_and_in_another_process() -> None:
    assert undecided() == printed(case())
    program = (
        "import sys, django; django.setup();"
        "from tests.quotes.test_pdf_printed import case, printed;"
        "sys.stdout.buffer.write(printed(case()))"
    )
    run = subprocess.run(
        [sys.executable, "-c", program],
        env={
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "PYTHONHASHSEED": "11",
            "TZ": "Asia/Tokyo",
            "LANG": "C",
        },
        capture_output=True,
        check=True,
    )
    assert run.stdout == undecided()


def test_another_quote_gives_other_bytes() -> None:
    assert undecided() != printed(case(note="I can start on Wednesday if the bearings are in."))


# What people type


def typed_everywhere(text: Callable[[], str]) -> tuple[Case, list[str]]:
    """A quote with a text of its own in every field that someone types into, and those texts."""
    given: list[str] = []

    def next_text(most: int = 2000) -> str:
        given.append(text()[:most])
        return given[-1]

    of = [line.model_copy(update={"words": next_text(), "included": next_text()}) for line in lines(13)]
    made = case(
        [QuoteLine(**line.model_dump()) for line in of],
        declined={1},
        said=next_text(),
        shop_name=next_text(120),
        customer_name=next_text(120),
        machine_text=next_text(600),
        the_book=book(terms=next_text(4000), rates=(TaxRate(key="t", label=next_text(120), percent=Decimal(6)),)),
        shop=ShopHead(next_text(300), next_text(120), next_text(120), "en-US", "America/Boise"),
        customer=CustomerFacts(next_text(120), next_text(120), next_text(120), next_text(300), ""),
        machine=MachineFacts(2009, next_text(120), next_text(120), next_text(120), next_text(120)),
        site=SiteFacts(next_text(120), next_text(300)),
        complaints=[ComplaintFacts(next_text(), next_text())],
        note=next_text(4000),
        number=next_text(20),
        job=next_text(20),
    )
    return made, given


def test_markup_that_people_type_is_text_and_asks_nobody(tmp_path: Path) -> None:
    secret = tmp_path / "secret"
    secret.write_text("secret")
    with canary() as heard:
        traps = heard.traps(str(secret))
        others = [
            f"<script src={heard.url}/script></script>",
            f'</title></style><link rel="stylesheet" href="{heard.url}/break">',
            "</p></td></tr></table></body>",
            "{{ quote.shop_name }}{% include 'x' %}",
            "\"><b>bold</b> &lt;i&gt; &amp; ' onload=",
            f"font:../../secret url(file://{secret})",
        ]
        numbers = count()
        every = [*traps, *others]
        made, given = typed_everywhere(lambda: every[next(numbers) % len(every)])
        pdf = printed(made)
        assert heard.asked == []
    assert len(given) > len(every)
    root: Any = read(pdf).trailer["/Root"]
    assert "/Names" not in root
    assert not any("/Annots" in each for each in read(pdf).pages)
    text = flat(text_of(pdf))
    for words in given:
        assert flat(words) in text


def test_long_words_and_many_lines_lose_nothing() -> None:
    numbers = count()
    made, given = typed_everywhere(lambda: f"n{next(numbers):03}" * 300)
    text = flat(text_of(printed(made)))
    for words in given:
        # The end of a page may cut one in two, the head or foot of a page between the halves.
        assert text.count(words[:4]) >= len(words) // 4 - 2
    made, given = typed_everywhere(lambda: f"m{next(numbers):04}\n" * 30)
    text = text_of(printed(made))
    for words in given:
        assert text.count(words[:5]) >= words.count(words[:5])


def test_controls_and_overrides_leave_no_trace() -> None:
    text = text_of(printed(case(lines(1), customer_name="Mar\u202ela\u202c \x07Qu\x1bist\ufeff")))
    assert not re.search("[\x00-\x08\x0b-\x1f\u202a-\u202e\ufeff]", text)
    plain = text_of(printed(case(lines(1), customer_name="Marla Quist")))
    # The digest is of what was typed, controls and all.
    digests = "[Dd]ocument code [0-9a-f ]+"
    assert re.sub(digests, "", text) == re.sub(digests, "", plain)


def test_a_letter_that_no_font_has_is_a_box_and_is_named() -> None:
    text = text_of(printed(case(lines(1), customer_name=f"A{chr(UNASSIGNED)}B")))
    assert f"A{UNDRAWN}B" in text
    assert f"{UNDRAWN} marks a character that could not be printed: U+0378." in text
    assert UNDRAWN not in text_of(undecided())


def test_the_pdf_knows_no_cost() -> None:
    text = text_of(decided())
    assert "31.23" not in text
    assert "9.11" not in text
    assert CUSTOMER.phone in text
