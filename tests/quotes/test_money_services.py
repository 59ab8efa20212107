"""Discounts, taxes and currencies through the services, from the price book to the agreed amounts."""

from datetime import date, timedelta
from typing import Any
from uuid import UUID

import pytest
from django.test import Client

from shopapi.accounts.models import Shop
from shopapi.core.clock import now
from shopapi.core.errors import Conflict, Invalid
from shopapi.core.rendering import render
from shopapi.core.schema import parse
from shopapi.core.tenancy import in_shop
from shopapi.quotes.models import Approval, PriceBook, Quote
from shopapi.quotes.queries.agreed import agreed
from shopapi.quotes.rules import ShopPrices, basis_on
from shopapi.quotes.rules.starting_prices import starting_prices
from shopapi.quotes.rules.texts.en import TEXTS as ENGLISH
from shopapi.quotes.services.decisions import decide_quote
from shopapi.quotes.services.drafts import choose_tax_profile, edit_quote, offer_quote, put_quote_line
from shopapi.quotes.services.quote_pdf import page_of
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.factories.work import do


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


def todays_basis(crew: Crew) -> dict[str, Any]:
    basis = basis_on(parse(ShopPrices, work.prices_of(crew.owner)), work.today())
    assert basis is not None
    return basis.model_dump(mode="json")


# A fixed discount


def a_discounted_offer(crew: Crew, **more: Any) -> tuple[UUID, UUID]:
    """100.00 off an offer of 135.00 for labor and 28.00 for parts: the job and the quote."""
    job = work.a_job(crew.owner)
    quote = work.a_quote(crew.owner, job, **more)
    none = {"percent": None, "minor": None}
    do(crew.owner, edit_quote, id=quote, base={"discount": none}, set={"discount": none | {"minor": 10_000}})
    do(crew.owner, offer_quote, **work.offer_of(crew.owner, quote))
    return job, quote


def accepted_parts(crew: Crew, quote: UUID) -> dict[str, Any]:
    """A decision on the offer that takes its second line alone."""
    decision = work.decision_on(crew.owner, quote)
    labor, part = decision["accepted_ids"]
    return decision | {"accepted_ids": [part], "declined_ids": [labor]}


def agreed_total(crew: Crew, quote: UUID) -> int | None:
    with in_shop(crew.shop_id):
        return Approval.objects.get(quote=quote).accepted_total_minor


def test_a_part_of_an_offer_gets_its_share_of_a_fixed_discount(crew: Crew) -> None:
    """28.00 of 163.00 accepted: 100.00 x 28 / 163 = 17.177..., so 17.18 off, 10.82 agreed. It was 0.00."""
    job, quote = a_discounted_offer(crew, basis=todays_basis(crew))
    do(crew.owner, decide_quote, **accepted_parts(crew, quote))
    assert agreed_total(crew, quote) == 1082
    with in_shop(crew.shop_id):
        assert agreed(crew.owner, job, at=now()).total_minor == 1082
        sheet = page_of(Quote.objects.get(id=quote), Shop.objects.get(id=crew.shop_id))
    assert [(row.label, row.amount) for row in sheet.sums if row.label in ("Discount", "Approved total")] == [
        ("Discount", "-$17.18"),
        ("Approved total", "$10.82"),
    ]


def test_the_rule_for_a_part_is_shown_before_anybody_decides(crew: Crew) -> None:
    """It is part of the text that is hashed, on paper and on the page behind a link, with the share as one chooses."""
    _, quote = a_discounted_offer(crew, basis=todays_basis(crew))
    with in_shop(crew.shop_id):
        sheet = page_of(Quote.objects.get(id=quote), Shop.objects.get(id=crew.shop_id))
    assert sheet.in_part == ENGLISH["in_part"]
    phone, path = Client(), work.path_of(crew.owner, work.a_request(crew.owner, quote))
    assert ENGLISH["in_part"] in phone.get(path).content.decode()
    decision = accepted_parts(crew, quote)
    chosen = {f"line-{one}": "yes" for one in decision["accepted_ids"]}
    counted = phone.post(path, {"step": "count", **chosen}).content.decode()
    assert "-$17.18" in counted
    assert "$10.82" in counted


def test_a_shop_may_grant_all_of_a_fixed_discount_for_a_part(crew: Crew) -> None:
    """100.00 off the 28.00 that were accepted; the offer says so before anybody decides, as the price book did."""
    with in_shop(crew.shop_id):
        book = PriceBook.objects.get()
        PriceBook.objects.update(prices=book.prices | {"fixed_discount": "full"})
    _, quote = a_discounted_offer(crew, basis=todays_basis(crew))
    with in_shop(crew.shop_id):
        sheet = page_of(Quote.objects.get(id=quote), Shop.objects.get(id=crew.shop_id))
    assert sheet.in_part == ENGLISH["in_part_full"]
    do(crew.owner, decide_quote, **accepted_parts(crew, quote))
    assert agreed_total(crew, quote) == 0


def test_an_offer_from_before_the_rule_keeps_what_was_agreed_on_it(crew: Crew) -> None:
    """Its basis names no version: all of the discount comes off, and neither paper nor page says otherwise."""
    _, quote = a_discounted_offer(crew)
    do(crew.owner, decide_quote, **accepted_parts(crew, quote))
    assert agreed_total(crew, quote) == 0
    with in_shop(crew.shop_id):
        assert page_of(Quote.objects.get(id=quote), Shop.objects.get(id=crew.shop_id)).in_part == ""


# Taxes that are kept apart

GST_AND_PST = [
    {"key": "gst", "label": "GST", "percent": "5"},
    {"key": "pst", "label": "PST", "percent": "7"},
]


def a_profile(key: str, **more: Any) -> dict[str, Any]:
    (profile,) = starting_prices("USD")["tax_profiles"]
    left = {name: value for name, value in profile.items() if name != "rates_rounded"}
    return {**left, "key": key, "label": f"Profile {key}", "rates": GST_AND_PST, **more}


def test_a_new_tax_profile_rounds_each_of_its_taxes(crew: Crew) -> None:
    """GST 5 % and PST 7 % of 1.10: 0.06 + 0.08 = 0.14, where together they were 0.13."""
    kept = work.save_prices(crew.owner, {"tax_profiles": [a_profile("canada")]})
    assert kept["tax_profiles"][0]["rates_rounded"] == "each"
    quote = work.a_draft(crew.owner, work.a_job(crew.owner), basis=todays_basis(crew))
    do(crew.owner, put_quote_line, quote_id=quote, **work.labor(hours=None, fixed_minor=110))
    with in_shop(crew.shop_id):
        totals = Quote.objects.get(id=quote).totals
    assert totals is not None
    assert [(row["key"], row["tax_minor"]) for row in totals["tax"]] == [("gst", 6), ("pst", 8)]
    assert totals["total_minor"] == 124


def test_a_tax_profile_from_before_the_setting_stays_as_it_was(crew: Crew) -> None:
    with in_shop(crew.shop_id):
        PriceBook.objects.update(prices=work.prices_of(crew.owner) | {"tax_profiles": [a_profile("ours")]})
    kept = work.save_prices(crew.owner, {"terms": "Pay at pickup."})
    assert kept["tax_profiles"][0]["rates_rounded"] == "together"
    chosen = work.save_prices(
        crew.owner, work.prices_of(crew.owner) | {"tax_profiles": [a_profile("ours", rates_rounded="each")]}
    )
    assert chosen["tax_profiles"][0]["rates_rounded"] == "each"
    # A profile sent without the field keeps its value; a rate without kinds of line is for all of them.
    ours = a_profile("ours")
    assert work.save_prices(crew.owner, {"tax_profiles": [ours]})["tax_profiles"][0] == {
        **ours,
        "rates_rounded": "each",
        "rates": [{**rate, "of": None} for rate in ours["rates"]],
    }


# A tax profile that has ended


def taxes_of(*, ends: date) -> list[dict[str, Any]]:
    """The old rates until a day, the new ones from the next."""
    begins = ends + timedelta(days=1)
    return [
        a_profile("old", until_on=ends.isoformat()),
        a_profile("new", from_on=begins.isoformat(), rates=[{"key": "gst", "label": "GST", "percent": "6"}]),
    ]


def refused_offer(crew: Crew, quote: UUID, **more: Any) -> Invalid:
    with pytest.raises(Invalid) as refused:
        do(crew.owner, offer_quote, **work.offer_of(crew.owner, quote), **more)
    return refused.value


@pytest.mark.parametrize("was", ["ended", "without end when the draft was written", "not known to the book any more"])
def test_an_offer_on_a_tax_profile_that_has_ended_is_refused_with_the_way_out(crew: Crew, was: str) -> None:
    taxes = taxes_of(ends=work.today() - timedelta(days=2))
    written_on = taxes[0] | ({} if was == "ended" else {"until_on": None})
    book = work.save_prices(
        crew.owner, work.prices_of(crew.owner) | {"tax_profiles": taxes[1:] if was.startswith("not") else taxes}
    )
    quote = work.a_quote(crew.owner, work.a_job(crew.owner), basis=book | {"tax_profiles": [written_on]})
    refused = refused_offer(crew, quote)
    (field,) = refused.fields
    assert (refused.code, field.field, field.code) == ("tax_profile_ended", "tax_profile", "tax_profile_ended")
    assert "“Profile old”" in render(field.reason)
    assert "Choose “Profile new”" in render(field.reason)

    # The way out: the person takes the one in force, sees the new total and offers that.
    do(crew.mechanic, choose_tax_profile, id=quote, tax_profile=book["tax_profiles"][-1])
    with in_shop(crew.shop_id):
        totals = Quote.objects.get(id=quote).totals
    assert totals is not None
    # 6 % of 135.00 and 28.00 each taxed: 9.78.
    assert (totals["tax_minor"], totals["total_minor"]) == (978, 16_300 + 978)
    do(crew.owner, offer_quote, **work.offer_of(crew.owner, quote))
    with in_shop(crew.shop_id):
        assert Quote.objects.get(id=quote).state == "offered"


def test_where_no_tax_profile_is_in_force_the_refusal_says_to_add_one(crew: Crew) -> None:
    ended = a_profile("old", until_on=(work.today() - timedelta(days=2)).isoformat())
    book = work.save_prices(crew.owner, {"tax_profiles": [ended]})
    quote = work.a_quote(crew.owner, work.a_job(crew.owner), basis=book)
    assert "has no tax profile for that day. Add one" in render(refused_offer(crew, quote).fields[0].reason)


def test_an_offer_shown_without_signal_counts_by_the_day_it_was_shown(crew: Crew) -> None:
    """Shown on the last day of the old tax, sent two days later: the customer has seen the right tax."""
    last_day = work.today() - timedelta(days=2)
    book = work.save_prices(crew.owner, {"tax_profiles": taxes_of(ends=last_day)})
    quote = work.a_quote(crew.owner, work.a_job(crew.owner), basis=book | {"tax_profiles": book["tax_profiles"][:1]})
    after = (last_day + timedelta(days=1)).isoformat()
    assert refused_offer(crew, quote, offered_on=after).code == "tax_profile_ended"
    # A day from a clock that is years off is not used.
    long_ago = (last_day - timedelta(days=60)).isoformat()
    assert refused_offer(crew, quote, offered_on=long_ago).code == "tax_profile_ended"
    do(crew.owner, offer_quote, **work.offer_of(crew.owner, quote), offered_on=last_day.isoformat())
    with in_shop(crew.shop_id):
        assert Quote.objects.get(id=quote).state == "offered"


def test_a_chosen_tax_profile_must_be_one_that_can_be_calculated_and_the_quote_a_draft(crew: Crew) -> None:
    quote = work.a_quote(crew.owner, work.a_job(crew.owner))
    too_much = a_profile("much", rates=[{"key": "t", "label": "Tax", "percent": "90"}, *GST_AND_PST])
    with pytest.raises(Invalid) as refused:
        do(crew.owner, choose_tax_profile, id=quote, tax_profile=too_much)
    assert [(fault.field, fault.code) for fault in refused.value.fields] == [("tax_profile.rates", "rates_too_high")]
    do(crew.owner, offer_quote, **work.offer_of(crew.owner, quote))
    with pytest.raises(Conflict) as fixed:
        do(crew.owner, choose_tax_profile, id=quote, tax_profile=a_profile("late"))
    assert fixed.value.code == "not_a_draft"
