"""English sentences of quotes."""

from collections.abc import Mapping

# Refusals of figures by both the phone and the server; `fixtures/pricing` compares them.
REFUSALS: Mapping[str, str] = {
    "amount_out_of_range": "This line comes to more than 10,000,000,000 of the smallest coin. Check its figures.",
    "billed_quantity_out_of_range": "The quantity must be from -10,000 to 10,000.",
    "bands_last_open": "Leave the upper price of the last mark-up band open, and of that band only.",
    "bands_not_ascending": "Each mark-up band must end at a higher price than the one before it.",
    "cap_below_floor": "The cap on supplies is below the floor. Raise one or lower the other.",
    "currency_foreign": "The shop has its prices in another currency. Quote in that one.",
    "currency_unknown": "Give the currency as three capital letters, such as USD.",
    "dates_reversed": "This tax profile ends before it begins. Correct one of the two dates.",
    "digits_wrong": "This is not the number of decimal digits that the currency has.",
    "discount_exceeds_line": "The discount is larger than the line. Lower it to the line's amount at most.",
    "discount_exceeds_quote": "The discounts are larger than everything else on the quote. Lower them.",
    "discount_twice": "Give the discount as a percentage or as an amount, not both.",
    "distance_out_of_range": "The distance must be from 0 to 10,000. Write longer travel as two lines.",
    "fee_twice": "The diagnosis fee is charged once. Remove one of its lines.",
    "free_days_out_of_range": "The days of free storage must be from 0 to 365.",
    "hours_out_of_range": "The hours must be from 0 to 1,000. Split longer work into two lines.",
    "key_not_plain": "Use a small letter first, then up to 39 small letters, digits, _ or -.",
    "key_twice": "Another entry of this list has the same key. Give this one its own.",
    "line_twice": "Two lines of this quote have the same id. Enter the second one again.",
    "line_unknown": "This quote has no line with this id. Check the quote's newest revision.",
    "lines_too_many": "A quote holds at most 200 lines. Make a second quote for the rest.",
    "money_out_of_range": "The amount must be from 0 to 1,000,000,000 of the smallest coin, such as cents.",
    "not_for_kind": "A line of this kind has no such figure. Clear it, or change the type of line.",
    "percent_out_of_range": "The percentage must be from 0 to 100.",
    "markup_out_of_range": "The mark-up must be from 0 to 1,000 percent.",
    "position_out_of_range": "The position must be from 0 to 100,000.",
    "price_missing": "This line has no price. Set one.",
    "price_twice": "This line has two prices. Keep one of them.",
    "profile_gap": "There is a gap before this tax. Start it the day after the last one ends.",
    "profile_missing": "Set up at least one tax, or one with no rates if you charge none.",
    "profile_overlap": "This tax starts before the last one ends. Start it the day after.",
    "quantity_out_of_range": "The quantity must be from 0 to 10,000.",
    "rate_of_nothing": "Choose what this rate is for, or let it be for everything that is taxed.",
    "rate_unknown": "The shop has no labor rate with this key. Choose one of its rates.",
    "rates_missing": "Set up at least one labor rate. The first one is the standard rate.",
    "rules_version_unknown": "These calculation rules aren't known here. Update the app, then quote again.",
    "rates_too_high": "These tax rates add up to more than 100 percent.",
    "step_out_of_range": "The deposit must be rounded to 1 to 1,000,000 of the smallest coin, such as cents.",
    "supplies_of_nothing": "Choose what the supplies percentage is based on: labor, parts or both.",
    "text_too_long": "This text is too long. Shorten it.",
    "valid_days_out_of_range": "A quote must be good for 1 to 365 days.",
    "words_empty": "Enter a description.",
    "zone_unknown": "The shop has no travel zone with this key. Choose one of its zones.",
    "zones_missing": "Set up at least one travel zone, or charge travel by distance.",
}

MESSAGES: Mapping[str, str] = {
    **REFUSALS,
    # The states of a quote as screens call them.
    "state.draft": "a draft",
    "state.offered": "waiting for the customer",
    "state.decided": "answered",
    "state.lapsed": "expired",
    "state.replaced": "replaced",
    "state.withdrawn": "withdrawn",
    "too_many_link_tries": "Too many tries. Wait five minutes, then try again, or call the shop.",
    "link_asks_no_more": "This request is closed; make a new one.",
    "link_answered": "You've already answered; your answer is saved.",
    "link_taken_back": "The shop has withdrawn this request. Call the shop if you expected to answer it.",
    "link_replaced": "The shop has changed this quote. This version no longer applies.",
    "link_decided": "This was already answered, at the shop or by phone.",
    "link_withdrawn": "The shop has withdrawn this quote.",
    "link_ended": "This quote has expired. Call the shop if you still want the work.",
    "tax_profile_ended": (
        "The tax profile “{label}” of this quote is not in force on {day}. The price book has no tax profile"
        " for that day. Add one, choose it for this quote, offer it again."
    ),
    "tax_profile_replaced": (
        "The tax profile “{label}” of this quote is not in force on {day}. Choose “{current}” for this"
        " quote, look at the new total, then offer it again."
    ),
    "prices_unconfirmed": (
        "Nobody has confirmed the shop's prices yet. Whoever may change prices looks at labor rates, mark-up, tax and"
        " terms once in the price book and saves them; then this quote can be offered."
    ),
    "unconfirmed_labor_rates": "Nobody has confirmed what an hour of labor costs.",
    "unconfirmed_part_bands": "Nobody has confirmed the mark-up on parts.",
    "unconfirmed_tax_profiles": "Nobody has confirmed the tax, or that there is none.",
    "unconfirmed_terms": "Nobody has confirmed the terms, or that there are none.",
    "total_differs": "The total here is {total}.",
    "quote_pdf_not_made": "The PDF of this quote isn't made yet.",
    "not_on_offer": "This quote is {state}; only one that is waiting for the customer can be asked about.",
    "half_storage": "Enter both the free days and the amount a day, or neither.",
    "link_used": "This request has already been answered; that answer stands.",
    "lines_differ": "Choose yes or no for each item.",
    "request_key_gone": "This link no longer works because the server's key changed. Make a new request.",
    "pdf_given_up": (
        "The PDF could not be made in several attempts. Try once more; if that fails, ask who runs the server."
    ),
    "pdf_outdated": "The quote changed while its PDF was being made; it's being made again.",
    "one_profile": "Keep the one tax profile that holds on the day of the quote.",
    "basis_invalid": "The prices that this quote is based on need correcting.",
    "replaces_another_job": "A revision belongs to the same job and is of the same kind as the quote it replaces.",
    "not_replaceable": "This quote is {state}, so it can't be revised.",
    "not_newest": "There is already a newer revision; continue from that one.",
    "not_a_draft": "This quote has been shown to the customer; revise it to change it.",
    "tax_profile_invalid": "This tax profile cannot be used.",
    "finding_of_another_job": "This finding belongs to another job.",
    "line_invalid": "This line needs correcting.",
    "no_lines": "Add at least one line first.",
    "quote_invalid": "Correct the quote before you show it to the customer.",
    "too_far": "A quote can be good for at most {days} days.",
    "quote_number_not_given": "No quote has this number now, so there is nothing to exchange.",
    "shown_differs": "What was shown is not what the quote says now; check it again, then show it.",
    "not_withdrawable": "This quote is {state}, so it can't be withdrawn.",
    "not_offered": "The PDF of a quote is made once it has been shown to the customer.",
    "price_book_invalid": "The price book needs correcting.",
    "currency_stays": "The shop's currency can't be changed; its quotes use it.",
    # Why a decision is stored but has no effect.
    "decision_shown_differs": (
        "What was signed is not what the quote says now. The signature is kept; ask the customer again."
    ),
    "decision_not_on_offer": (
        "This quote is no longer open. The answer is kept; show the customer the newest revision."
    ),
    "decision_too_late": "The decision came after the quote's last day. It is kept; quote the work again.",
    "decision_lines_differ": ("The decision doesn't answer every item. It is kept; ask the customer again."),
}
