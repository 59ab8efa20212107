"""English: what customers read of quotes."""

from collections.abc import Mapping

PAPER: Mapping[str, str] = {
    "quote": "Quote",
    "quote_added": "Quote for added work",
    "title": "{name} {number}",
    "title_revision": "{name} {number}, revision {revision}",
    "foot_code": "document code {code}",
    "document_code": "Document code",
    # Above the content, by the quote's state.
    "aside_draft": "Draft, not a quote yet.",
    "aside_lapsed": "Expired on {until}.",
    "aside_replaced": "Replaced by a later revision.",
    "aside_withdrawn": "Withdrawn by the shop.",
    "aside_mark": "Temporary number; the final number follows.",
    # Head.
    "good_until": "Good until",
    "quoted": "Quoted",
    "job": "Job",
    "revision": "Revision",
    "for": "For",
    "machine": "Machine",
    "machine_location": "Machine location",
    "year": "Year {year}",
    "tag": "Tag {tag}",
    "serial": "serial {serial}",
    "engine": "Engine {engine}",
    "told_us": "What you told us",
    "happens_when": "When",
    # Lines.
    "rank_safety": "Safety",
    "rank_safety_plain": "someone can get hurt",
    "rank_needed": "Needed",
    "rank_needed_plain": "to make it work",
    "rank_advised": "Recommended",
    "rank_advised_plain": "worth doing",
    "agreed_before": "Agreed before",
    "agreed_before_plain": "not asked again",
    "quantity": "Quantity",
    "approve": "Approve?",
    "amount": "Amount",
    "yes": "Yes",
    "no": "No",
    "open": "Open",
    "agreed": "Agreed",
    "we_found": "We found",
    "if_later": "if done later",
    "discount_in": "Includes {amount} discount.",
    "core_in": "{amount} core charge refunded for the old part.",
    "only_one": "Belongs with {works}: a yes to one of them alone may leave the work unfinished.",
    "count_at": "{count} at {price}",
    "kind_labor": "Labor",
    "kind_part": "Part",
    "kind_travel": "Travel",
    "kind_fee": "Fee",
    "kind_supplies": "Supplies",
    # What a revision changes.
    "changes": "What changed",
    "signed_before": "{name} answered the quote before this on {day}.",
    "signed_before_kept": (
        "{name} answered the quote before this on {day}. "
        "Answers to what hasn't changed are kept; you can change them here."
    ),
    "change_added": "New",
    "change_changed": "Changed, was {money}",
    "change_removed": "Taken out, was {money}",
    "change_same_price": "Changed, same price",
    "unchanged_one": "{count} item hasn't changed.",
    "unchanged_other": "{count} items haven't changed.",
    "kept_yes": "Not changed. Answered yes on {day}.",
    "kept_no": "Not changed. Answered no on {day}.",
    # Sums.
    "tax_share": "{percent} of {base}",
    "tax_share_inside": "{percent} of {base}, included",
    "before_tax": "Before tax",
    "total": "Total",
    "approved_total": "Approved total",
    "later_total": "Same work if done later",
    "deposit": "Deposit due",
    "balance": "Balance",
    "full_quote": "Full quote was",
    # Beside and below the sums.
    "please_note": "Please note",
    "note": "Note",
    "terms": "Terms",
    "exempt": "No tax: the customer is exempt.",
    "exempt_because": "No tax: the customer is exempt ({reason}).",
    "no_tax": "No tax applies.",
    "no_tax_approved": "No tax applies to the approved items.",
    "tax_inside": "Prices include tax.",
    "tax_added": "Tax is added to these prices.",
    "caution_safety": "Please don't use the machine until the items under Safety have been repaired.",
    "caution_manuals": "The manufacturer's manuals for the machine and engine take precedence over this quote.",
    "caution_rules": (
        "Local rules on fuel, noise, spark arresters, waste oil and towing apply. Check them for your area."
    ),
    "caution_findings": ("Findings describe what we saw and measured that day. They don't predict future condition."),
    "sign_name": "Name",
    "sign_signature": "Signature",
    "sign_date": "Date",
    # The decision.
    "answered_by": "Answered by {name}",
    "other_version": "This answer was to a different version; kept on file, not applied.",
    "how": "How",
    "how_glass": "signed on the shop's phone",
    "how_link": "by online link",
    "how_call": "by phone, recorded by the shop",
    "how_in_person": "in person, recorded by the shop",
    "when": "When",
    "shop_time": "Shop time",
    "received": "Received",
    "approved": "Items approved",
    "approved_declined": "{yes}; declined {no}",
    "none": "none",
    "approved_amount": "Approved amount",
    "labor_parts": "{whole}; before tax labor {labor}, parts {parts}",
    "recorded_by": "Recorded by",
    "number_called": "Number called",
    "conditions": "Conditions",
    "notes": "Notes",
    "ink_one": "Signature of {name}, drawn by hand in {count} stroke, {when}",
    "ink_other": "Signature of {name}, drawn by hand in {count} strokes, {when}",
}

# Also on the phone (`config/contract/messages.py`), and part of what is signed: a change makes another document.
OFFER: Mapping[str, str] = {
    "added_labor_minimum": "Up to the shop's minimum for labor",
    "added_supplies": "Shop supplies",
    "added_diagnosis_credit": "Diagnosis fee credited against the repair",
    "added_discount": "Discount",
    "added_exemption": "Tax taken out of the prices (exempt)",
    # Of a fixed discount, before a decision.
    "in_part": (
        "The fixed discount is for everything on this quote. If you accept only some of it, "
        "you get the same share of the discount."
    ),
    "in_part_full": (
        "The fixed discount is for everything on this quote. If you accept only some of it, "
        "you still get all of the discount."
    ),
    # Of a credited diagnosis fee (rules version 3).
    "credited": (
        "What is credited of the diagnosis fee is not charged: no tax falls on it, "
        "and the repair is taxed as without it."
    ),
    # What is added to the lines' prices, before a decision.
    "on_top_supplies_tax": (
        "Shop supplies (cleaner, grease, rags and the like) and tax are added to these prices "
        "and included in the total."
    ),
    "on_top_supplies": (
        "Shop supplies (cleaner, grease, rags and the like) are added to these prices and included in the total."
    ),
    "on_top_supplies_inside": (
        "Shop supplies (cleaner, grease, rags and the like) are added to these prices and included in the total. "
        "Prices include tax."
    ),
    "on_top_tax": "Tax is added to these prices and included in the total.",
    "on_top_inside": "Prices include tax.",
}

PAGE: Mapping[str, str] = {
    # In the message with the link: what is asked.
    "about_first": "here is our quote",
    "about_added": "we found more work",
    "about_revision": "our quote has changed",
    "page_intro": "Nothing is done without your OK. Choose yes or no for each item. It\u2019s fine to say no.",
    "not_sent": "Not sent yet.",
    "missing_one": "Choose yes or no for each item: {count} still needs an answer.",
    "missing_other": "Choose yes or no for each item: {count} still need an answer.",
    "answer_this": "Please answer this one.",
    "whats_in_it": "What\u2019s in it",
    "if_done_later": "If done later:",
    "if_not_fixed": "If it isn\u2019t fixed",
    "photo": "Photo {count} of what we found",
    "everything": "Everything: {total}.",
    "update_total": "Update total",
    "review": "Review my answer",
    "ask_first": "Ask a question first",
    "approving": "You\u2019re approving",
    "approving_agreed": "You\u2019re approving, and what was agreed before",
    "check_title": "Your answer",
    "check_head": "Is this your answer?",
    "safety_no": (
        "You said no to a safety repair. Someone could get hurt. "
        "Please don\u2019t use the machine until it\u2019s fixed."
    ),
    "your_name": "Your name",
    "typing_signs": (
        "Typing your name counts as your signature. We keep the exact wording, amounts, time and device with it."
    ),
    "send_answer": "Send my answer",
    "change": "Change something",
    "saved_title": "Your answer is saved",
    "saved_head": "Thank you. Your answer is saved.",
    "already_answered": "Already answered",
    "newer": "There is a newer quote.",
    "see_newer": "See the newer quote",
    "save_pdf": "Save a copy (PDF)",
    "pdf_waiting": "Your copy is being made.",
    "check_again": "Check again",
    "not_what_meant": "If this isn\u2019t what you meant, call the shop before work starts.",
    "closed_title": "Closed",
    "closed_head": "This request is closed",
    "question_head": "Ask a question",
    "question_intro": "Someone from the shop will call you. Nothing is decided by asking.",
    "question_label": "What do you want to know?",
    "question_send": "Send the question",
    "question_empty": "Write your question.",
    "question_long": "Write your question in at most 2,000 letters.",
    "back_to_quote": "Back to the quote",
    "asked_head": "We got your question",
    "asked_next": "Someone from the shop will call you.",
    "name_missing": "Write your name, so that the shop knows who answered.",
    "name_long": "This name is too long: at most 120 letters.",
    "nowhere": "This link leads nowhere",
    "nowhere_next": "Check that the whole address was copied.",
    "wait": "Please wait a little",
    "not_now": "Not just now",
    "pdf_missing": "Not made yet",
    "pdf_missing_next": "Go back, wait a moment, and ask for it again.",
}

TEXTS: Mapping[str, str] = {**PAPER, **OFFER, **PAGE}
