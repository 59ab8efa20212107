"""English sentences of billing."""

from collections.abc import Mapping

MESSAGES: Mapping[str, str] = {
    # Payments.
    "payment_of_nothing": "Say which job or invoice this money is for.",
    "invoice_of_another_job": "This invoice belongs to another job.",
    "refund_by_itself": "Record money given back as a refund.",
    "tip_on_a_tip": "A tip has no tip of its own. Enter one amount.",
    "card_number": "This looks like a card number. Enter the terminal's receipt number instead.",
    "refund_above_paid": "{wanted} is more than the {there} paid. Refund that at most, or record the missing payment.",
    "credit_too_small": "The customer's credit is {there}, less than {wanted}. Take the rest another way.",
    "paid_too_much": "{what} is paid {amount} too much. Give it back or keep it as credit.",
    "already_reversed": "This entry is already reversed.",
    "bank_proof_needed": (
        "The bank account and payment page change only right after your password or a passkey. Open “Invoices and"
        " payments” with a signal and enter them again."
    ),
    "iban_wrong": "This IBAN is wrong: its length or check digits do not fit. Compare it with a bank statement.",
    "bic_wrong": "This BIC is wrong. It has 8 or 11 letters and digits.",
    "account_without_name": "Enter the name of the account as the bank has it.",
    "bic_without_iban": "Enter the IBAN as well, or leave the BIC empty.",
    "payment_link_not_https": "Enter a whole address that starts with https://, such as https://pay.example/?ref={{number}}.",
    "payment_link_field_unknown": "{{{name}}} is no field. There are {known}.",
    "is_reversal": "This entry is itself a reversal. If the money did change hands, record it as a new payment.",
    "credit_note_keeps_tax": "A credit note keeps the tax of its invoice.",
    "credit_note_whole": (
        "This credit note takes back the whole invoice, with what was added to it as a whole, so its lines and"
        " discount stay as they are. Delete the draft and credit chosen lines instead."
    ),
    "credit_note_of_credit_note": "A credit note can't be credited. Make a new invoice instead.",
    "credit_note_of_draft": "This invoice isn't issued yet. Change the draft, or delete it.",
    "credited_in_full": "All of this invoice is credited already.",
    "credited_too_much": "Only {left} of this invoice is left to credit. Credit fewer lines, or lower amounts.",
    "invoice_basis_invalid": "The prices that this invoice is based on need correcting.",
    "invoice_beyond_agreed": (
        "This is {beyond} beyond the {agreed} that the customer agreed to. Quote the rest and get a yes, or take lines"
        " off."
    ),
    "invoice_day_improbable": "The date of an invoice is today, or at most {days} days ago.",
    "invoice_for_nothing": "This comes to nothing. Add what is charged, or delete the draft.",
    "invoice_invalid": "Correct the invoice before you issue it.",
    "invoice_issued": "This invoice is issued and can't be changed. Credit it, then make a new one.",
    "invoice_line_invalid": "This line needs correcting.",
    "invoice_prices_unconfirmed": (
        "Nobody has confirmed the shop's prices yet. Whoever may change prices looks at them once in the price book and"
        " saves them; then this invoice can be issued."
    ),
    "invoice_tax_ended": (
        "The tax profile “{label}” of this invoice is not in force on {day}. The price book has no tax profile for that"
        " day. Add one and choose it for this invoice."
    ),
    "invoice_tax_replaced": (
        "The tax profile “{label}” of this invoice is not in force on {day}. Choose “{current}” for this invoice and"
        " look at the new total."
    ),
    "invoice_total_differs": "The total here is {total}. Look at the invoice again, then issue it.",
    "invoice_without_lines": "Add at least one line first.",
    "credit_note_invalid": "This can't be credited as it stands.",
    "credited_line_twice": "A line is credited twice here. Name each line once.",
    "credited_only_whole": "This line has one price for all of it. Credit all of it, or leave it out.",
    "credited_too_many": "There are {most} of this on the invoice. Credit as many or fewer.",
    "line_of_another_invoice": "This invoice has no such line.",
    "not_a_credit_note": "This is an invoice; issue it as one.",
    "not_an_invoice": "This is a credit note; issue it as one.",
    "one_profile_on_invoice": "Keep the one tax profile that holds on the day of the invoice.",
    "prefix_of_both": "Invoices and credit notes need different letters before their numbers.",
    "prefix_used": "These letters were used for the numbers of the other kind. Choose others.",
    "reminders_not_ascending": "Write the days of the reminders in order, each once.",
    # Closed periods.
    "period_closed": (
        "{day} is closed: the books are closed up to {closed}. Use a later day, or let the office open that day again."
    ),
    "counted_twice": "Each way of paying is counted once.",
    "day_not_over": "Only days that are over can be closed, and today, {today}, once its takings are counted.",
    "closed_already": "The books are closed up to {day} already.",
    "opening_needs_reason": "The books are closed up to {day}. To open days again, write why.",
    # Papers.
    "invoice_not_issued": "This invoice isn't issued yet, so there is no PDF of it.",
    "invoice_pdf_not_made": "There is no PDF of this invoice yet.",
    "billing_printout_not_made": "This PDF is not ready yet.",
    "statement_days_wrong": "A statement ends on or after its first day, and spans ten years at most.",
    # For bookkeepers and other programs.
    "books_period_invalid": "Choose a first day that is not after the last one, and at most {days} days.",
    "einvoice_of_draft": "This invoice isn't issued yet. Issue it first.",
    "einvoice_without_pdf": "The PDF of this invoice isn't made yet. Try again in a minute.",
    "einvoice_incomplete": "An invoice file needs more of the shop's data. Add it in the billing settings.",
    "einvoice_needs_country": "An invoice file needs the shop's country. Add it in the billing settings.",
    "einvoice_needs_number": (
        "An invoice file needs the shop's VAT number, which begins with its country, or its company number. Add one of"
        " them in the billing settings."
    ),
    "einvoice_needs_tax_number": (
        "An invoice file with tax on it needs the shop's tax number. Add it in the billing settings."
    ),
    "einvoice_digits": (
        "An invoice file by EN 16931 has at most two decimals, and {currency} has {digits}. No setting changes that:"
        " send the PDF. For another program there are the registers and the journal, with all decimals."
    ),
    "einvoice_not_exact": "{number} can't be an invoice file with the amounts that were billed. Send its PDF.",
    "einvoice_tax_per_line": (
        "The tax of {number} was rounded for each line and is {billed}. An invoice file rounds it once for each rate,"
        " which gives {tax}. An issued invoice never changes: send its PDF. A tax profile that rounds tax once for the"
        " whole invoice avoids this from the next invoice on."
    ),
    "einvoice_taxes_apart": (
        "The taxes of {number} were rounded each by itself and are {billed}. An invoice file rounds them together,"
        " which gives {tax}. An issued invoice never changes: send its PDF. A tax profile that rounds all taxes"
        " together avoids this from the next invoice on."
    ),
}
