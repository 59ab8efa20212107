"""The text of a quote's PDF, before it is rendered."""

from dataclasses import replace
from decimal import Decimal

import pytest

from shopapi.core.enums import values_of
from shopapi.quotes.rules.pdf import ComplaintFacts, MachineFacts, SignatureFacts, SiteFacts
from shopapi.quotes.rules.pdf.decision import Fact, draw_signature
from shopapi.quotes.rules.pdf.lines import SumRow
from shopapi.quotes.rules.price_book import TaxRate, Travel, Zone
from shopapi.quotes.rules.schemas import How
from shopapi.quotes.rules.texts import TEXTS
from tests.quotes.pdf_case import CUSTOMER, SHOP, WORK, book, case, lines

GST = (TaxRate(key="gst", label="GST", percent=Decimal(10)),)


def test_head_tells_shop_number_revision_and_shown_text() -> None:
    made = case(revision=2)
    sheet = made.sheet
    assert (sheet.name, sheet.number, sheet.title) == ("Quote", "Q-311", "Quote Q-311, revision 2")
    assert sheet.shop_name == "Tolliver Small Engine"
    assert sheet.shop_lines == (
        "418 Cutbank Road, Hagerstone, ID 83332",
        "208 555 0142 · bench@tolliver.example",
    )
    assert sheet.facts == (
        Fact("Good until", "Dec 25, 2026"),
        Fact("Quoted", "Nov 25, 2026, 2:05 PM MST"),
        Fact("Job", "J-1042"),
        Fact("Revision", "2"),
    )
    short = f"{made.digest[:4]} {made.digest[4:8]}"
    assert sheet.foot == f"Tolliver Small Engine · Quote Q-311, revision 2 · document code {short}"
    assert (sheet.digest, sheet.language, sheet.asides) == (made.digest, "en-US", ())


def test_parties_are_as_the_offer_named_them() -> None:
    (whom, where, machine) = case().sheet.parties
    assert (whom.title, whom.name) == ("For", "Marla Quist")
    assert whom.lines == ("77 Ditch Lane, Hagerstone, ID 83332", "208 555 0177", "marla.quist@mail.example")
    assert (where.title, where.name, where.lines) == (
        "Machine location",
        "Orchard barn",
        ("North gate, 2 mi past the bridge",),
    )
    assert machine.name == "Brandt & Hale GT-1848 garden tractor, serial 0O1lI-88213"
    assert machine.lines == ("Year 2009, Tag T-52", "Engine Corvane V2-18, serial C18-0042219")


def test_parties_leave_out_what_is_not_known() -> None:
    nothing = MachineFacts(year=None, engine_make="", engine_model="", engine_serial="", tag="")
    bare = replace(CUSTOMER, phone="", email="", address="")
    (whom, machine) = case(machine=nothing, customer=bare, site=None).sheet.parties
    assert (whom.lines, machine.lines) == ((), ())
    (_, _, machine) = case(machine=replace(nothing, engine_serial="77")).sheet.parties
    assert machine.lines == ("Engine serial 77",)


@pytest.mark.parametrize(
    ("state", "number", "asides"),
    [
        ("offered", "Q-311", ()),
        ("offered", None, ("Temporary number; the final number follows.",)),
        ("draft", "Q-311", ("Draft, not a quote yet.",)),
        ("lapsed", "Q-311", ("Expired on Dec 25, 2026.",)),
        ("replaced", "Q-311", ("Replaced by a later revision.",)),
        ("withdrawn", "Q-311", ("Withdrawn by the shop.",)),
    ],
)
def test_asides_say_what_must_be_known_first(state: str, number: str | None, asides: tuple[str, ...]) -> None:
    sheet = case(state=state, number=number).sheet
    assert (sheet.asides, sheet.number) == (asides, number or "B-7")
    assert sheet.sign_here == (state == "offered")
    answers = {line.answer for group in sheet.groups for line in group.lines}
    assert answers == ({""} if state == "offered" else {"Open"})


def test_lines_stand_under_their_rank_numbered_through() -> None:
    sheet = case().sheet
    assert [(group.title, group.plain) for group in sheet.groups] == [
        ("Safety", "someone can get hurt"),
        ("Needed", "to make it work"),
        ("Recommended", "worth doing"),
    ]
    printed = [(line.place, line.words, line.how_much, line.amount) for g in sheet.groups for line in g.lines]
    assert printed == [
        (1, "Put the blade brake right and adjust its cable", "1.25\u00a0h at $95.00", "$118.75"),
        (2, "Brake band", "1 at $43.72", "$43.72"),
        (3, "Rebuild the left deck spindle", "2.5\u00a0h at $95.00", "$237.50"),
        (4, "Spindle bearing", "2 at $12.75", "$25.50"),
        (5, "Looking it over and measuring", "", "$65.00"),
        (6, "Fetch and bring back", "24\u00a0mi", "$15.40"),
        (7, "Starter, rebuilt", "1 at $118.00", "$143.00"),
        (8, "Sharpen and balance three blades", "0.75\u00a0h at $95.00", "$66.25"),
        (9, "Air filter", "1 at $21.40", "$21.40"),
        (10, "Oil and filter change", "", "$59.00"),
        (11, "Battery", "1 at $74.50", "$84.50"),
        (12, "New fuel hose and clamps", "0.5\u00a0h at $95.00", "$47.50"),
    ]
    notes = {line.place: line.notes for group in sheet.groups for line in group.lines if line.notes}
    assert notes == {
        7: ("$25.00 core charge refunded for the old part.",),
        8: ("Includes $5.00 discount.",),
        11: ("$10.00 core charge refunded for the old part.",),
    }


def test_a_rank_without_lines_does_not_stand_there() -> None:
    sheet = case(lines(2)).sheet
    assert [group.title for group in sheet.groups] == ["Safety"]
    assert [row.label for row in sheet.sums][:2] == ["Safety", "Shop supplies"]


def test_travel_by_zone_has_one_price_for_the_whole() -> None:
    zones = Travel(
        mode="zone",
        minor_per_unit=0,
        unit="km",
        free_units=Decimal(0),
        minimum_minor=0,
        zones=(Zone(key="far", label="Far", minor=4200),),
    )
    (line,) = lines(1, kind="travel", hours=None, zone_key="far", included="")
    (group,) = case([line], the_book=book(travel=zones)).sheet.groups
    assert [(row.how_much, row.amount) for row in group.lines] == [("", "$42.00")]


def test_sums_add_up_to_the_total_with_tax_on_top() -> None:
    made = case()
    totals = made.totals
    by_rank = totals.by_rank
    usd = made_of(totals.total_minor)
    assert made.sheet.sums == (
        SumRow("Safety", made_of(by_rank.safety)),
        SumRow("Needed", made_of(by_rank.needed)),
        SumRow("Recommended", made_of(by_rank.advised)),
        SumRow("Neighbor of the shop", made_of(totals.lines[10].amount_minor)),
        SumRow("Shop supplies", made_of(2500)),
        SumRow("Diagnosis fee credited against the repair", made_of(-6500)),
        SumRow("Before tax", made_of(totals.net_minor)),
        SumRow(
            "State sales tax,",
            made_of(totals.tax[0].tax_minor),
            f"6% of {made_of(totals.tax[0].base_minor)}",
        ),
        SumRow(
            "City tax,",
            made_of(totals.tax[1].tax_minor),
            f"0.75% of {made_of(totals.tax[1].base_minor)}",
        ),
        SumRow("Total", usd, weight="total"),
        SumRow("Deposit due", made_of(totals.deposit_minor), weight="after"),
        SumRow("Balance", made_of(totals.owed_after_deposit_minor), weight="after"),
    )
    assert added_up(made.sheet.sums) == totals.total_minor


def made_of(minor: int) -> str:
    return f"{'-' if minor < 0 else ''}${abs(minor) // 100:,}.{abs(minor) % 100:02}"


def added_up(sums: tuple[SumRow, ...]) -> int:
    """What a reader with a pencil gets: all rows above the total but "Before tax"."""
    above = [row for row in sums if row.weight == "" and row.label != "Before tax"]
    return sum(int(row.amount.replace("$", "").replace(",", "").replace(".", "")) for row in above)


@pytest.mark.parametrize("declined", [None, set(), {1}, {0, 1, 8, 11}, set(range(13)) - {10}])
@pytest.mark.parametrize("inclusive", [False, True])
@pytest.mark.parametrize("exempt", [False, True])
def test_the_column_adds_up_with_a_pencil(declined: set[int] | None, inclusive: bool, exempt: bool) -> None:  # noqa: FBT001
    made = case(declined=declined, the_book=book(inclusive=inclusive, rates=GST), exempt=exempt)
    assert added_up(made.sheet.sums) == made.totals.total_minor
    (total,) = [row for row in made.sheet.sums if row.weight == "total"]
    assert total.amount == made_of(made.totals.total_minor)


def test_prices_that_hold_the_tax_say_what_is_inside() -> None:
    made = case(the_book=book(inclusive=True, rates=GST))
    (row,) = made.totals.tax
    after = [each for each in made.sheet.sums if each.weight == "after"]
    assert after[:2] == [
        SumRow("GST,", made_of(row.tax_minor), f"10% of {made_of(row.base_minor)}, included", "after"),
        SumRow("Before tax", made_of(made.totals.net_minor), weight="after"),
    ]
    assert made.sheet.cautions[0] == "Prices include tax."


@pytest.mark.parametrize(
    ("reason", "words"),
    [
        ("school district", "No tax: the customer is exempt (school district)."),
        (" ", "No tax: the customer is exempt."),
    ],
)
def test_an_exempt_customer_is_said_to_be_so(reason: str, words: str) -> None:
    sheet = case(exempt=True, customer=replace(CUSTOMER, exempt_reason=reason)).sheet
    assert sheet.cautions[0] == words
    assert not any("tax" in row.label.lower() for row in sheet.sums)


def test_no_tax_at_all_is_said() -> None:
    assert case(the_book=book(rates=())).sheet.cautions[0] == "No tax applies."


def test_cautions_defer_and_name_the_machine_only_where_someone_can_get_hurt() -> None:
    with_safety = case().sheet.cautions
    without = case(lines(1, rank="advised")).sheet.cautions
    assert [words for words in with_safety if words not in without] == [
        "Please don't use the machine until the items under Safety have been repaired."
    ]
    assert "The manufacturer's manuals for the machine and engine take precedence over this quote." in without
    assert not any(word in " ".join(with_safety).lower().split() for word in ("legal", "safe", "safe."))


def test_a_decision_gives_each_line_its_answer_and_the_sums_of_what_was_agreed() -> None:
    made = case(declined={8, 11})
    sheet = made.sheet
    answers = {line.place: line.answer for group in sheet.groups for line in group.lines}
    assert answers == {place: "No" if place in (9, 11) else "Yes" for place in range(1, 13)}
    assert [line.place for group in sheet.groups for line in group.lines if line.declined] == [9, 11]
    assert not sheet.sign_here
    assert sheet.sums[-1] == SumRow("Full quote was", made_of(made.offer["total_minor"]), weight="after")
    (total,) = [row for row in sheet.sums if row.weight == "total"]
    assert total == SumRow("Approved total", made_of(made.totals.total_minor), weight="total")
    part = sheet.decision
    assert part is not None
    assert (part.title, part.aside, part.digest) == ("Answered by Marla Quist", "", made.digest)
    assert part.facts == (
        Fact("How", "signed on the shop's phone"),
        Fact("When", "Nov 25, 2026, 2:14 PM MST (2026-11-25 21:14:09 UTC)"),
        Fact("Received", "Nov 25, 2026, 7:40 PM MST"),
        Fact("Items approved", "1-8, 10, 12; declined 9, 11"),
        Fact("Approved amount", made_of(made.totals.total_minor)),
    )
    assert part.ink is not None
    assert part.ink.words == ("Signature of Marla Quist, drawn by hand in 4 strokes, Nov 25, 2026, 2:14 PM MST")


def test_everything_declined() -> None:
    part = case(declined=set(range(13)) - {10}).sheet.decision
    assert part is not None
    assert Fact("Items approved", "none; declined 1-12") in part.facts


def test_a_decision_from_another_zone_is_shown_in_both() -> None:
    part = case(declined=set(), zone="Asia/Tokyo").sheet.decision
    assert part is not None
    assert part.facts[1:3] == (
        Fact("When", "Nov 26, 2026, 6:14 AM JST (2026-11-25 21:14:09 UTC)"),
        Fact("Shop time", "Nov 25, 2026, 2:14 PM MST"),
    )


@pytest.mark.parametrize("how", values_of(How))
def test_every_way_to_decide_has_words(how: str) -> None:
    part = case(declined=set(), how=how, said="Go ahead, says Marla.", with_ink=False).sheet.decision
    assert part is not None
    assert part.facts[0] == Fact("How", TEXTS["en"][f"how_{how}"])
    assert part.facts[-1] == Fact("Notes", "Go ahead, says Marla.")
    assert part.ink is None


def test_a_call_tells_who_took_it_which_number_on_what_condition_and_of_what_the_amount_is() -> None:
    call = {
        "taken_by": "Milo Reed",
        "number_called": "208 555 0177",
        "conditions": "Only if it is done by Friday",
        "accepted_labor_minor": 12750,
        "accepted_parts_minor": 6280,
    }
    made = case(declined=set(), how="call", said="Go ahead.", call=call, with_ink=False)
    assert made.sheet.decision is not None
    whole = made_of(made.totals.total_minor)
    assert made.sheet.decision.facts[-5:] == (
        Fact("Approved amount", f"{whole}; before tax labor $127.50, parts $62.80"),
        Fact("Recorded by", "Milo Reed"),
        Fact("Number called", "208 555 0177"),
        Fact("Conditions", "Only if it is done by Friday"),
        Fact("Notes", "Go ahead."),
    )


def test_an_answer_to_another_text_decides_nothing() -> None:
    made = case(declined={1}, matches=False)
    part = made.sheet.decision
    assert part is not None
    assert part.aside == "This answer was to a different version; kept on file, not applied."
    assert part.digest == "f" * 64 != made.digest
    assert {line.answer for group in made.sheet.groups for line in group.lines} == {"Open"}
    assert made.totals.total_minor == made.offer["total_minor"]
    assert [fact.label for fact in part.facts] == ["How", "When", "Received"]


def test_ink_becomes_a_path_in_the_proportions_of_its_signature_field() -> None:
    strokes = [[(0, 0), (5000, 10000), (10000, 0)], [(5000, 5000)], []]
    picture = draw_signature(SignatureFacts(strokes=strokes, width=200, height=100, signer_name="A"), "then")
    assert (picture.width, picture.height) == (200, 100)
    assert picture.path == ("M0.0 0.0 Q0.0 0.0 50.0 50.0 Q100.0 100.0 150.0 50.0 L200.0 0.0 M100.0 50.0 L100.1 50.0")


def test_ink_of_a_field_without_size_is_still_a_picture() -> None:
    picture = draw_signature(SignatureFacts(strokes=[], width=0, height=0, signer_name="A"), "then")
    assert (picture.width, picture.height, picture.path) == (1, 1, "")


@pytest.mark.parametrize(
    ("note", "terms", "beside", "below"),
    [
        ("", "", [], []),
        ("short", "also short", ["Note", "Terms"], []),
        ("short", "long " * 100, ["Note"], ["Terms"]),
        ("a\n" * 12, "", [], ["Note"]),
    ],
)
def test_note_and_terms_stand_beside_the_sums_as_long_as_they_fit(
    note: str, terms: str, beside: list[str], below: list[str]
) -> None:
    sheet = case(note=note, the_book=book(terms=terms)).sheet
    assert [remark.label for remark in sheet.beside] == beside
    assert [remark.label for remark in sheet.below] == below


def test_short_quotes_get_larger_letters() -> None:
    assert case(lines(6)).sheet.roomy
    assert not case(lines(7)).sheet.roomy
    assert not case(lines(6), complaints=[ComplaintFacts("word " * 200, "")]).sheet.roomy


def test_added_work_and_other_locales() -> None:
    sheet = case(kind="added", shop=replace(SHOP, locale="de-DE", zone="Europe/Berlin")).sheet
    assert (sheet.name, sheet.language) == ("Quote for added work", "en")
    assert sheet.facts[1] == Fact("Quoted", "25 Nov 2026, 22:05 CET")
    assert sheet.groups[0].lines[0].how_much == "1,25\u00a0h at 95,00\u00a0US$"


def test_costs_of_the_shop_are_nowhere() -> None:
    costs = {made_of(work["unit_cost_minor"])[1:] for work in WORK if "unit_cost_minor" in work}
    assert costs == {"31.23", "9.11"}
    text = repr(case(declined={1}).sheet)
    assert not [cost for cost in costs if cost in text]


def test_facts_left_empty_leave_no_empty_line() -> None:
    sheet = case(shop=replace(SHOP, address=" ", phone="", email=""), site=SiteFacts("Barn", "")).sheet
    assert sheet.shop_lines == ()
    assert sheet.parties[1].lines == ()
