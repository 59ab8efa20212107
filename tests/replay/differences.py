"""The only differences allowed between server and phone after a command. A test fails if an entry is not needed."""

from collections.abc import Mapping

SERVER_ONLY_FIELDS: Mapping[tuple[str, str], str] = {
    ("*", "created_at"): "the server's clock",
    ("*", "changed_at"): "the server's clock",
    ("job", "number"): "numbers are given out in the order in which commands arrive",
    ("job", "opened_at"): "the server's clock",
    ("job", "resumed_work"): "the server's clock",
    ("part_order", "number"): "numbers are given out in the order in which commands arrive",
    ("quote", "number"): "numbers are given out in the order in which commands arrive",
    ("quote", "offered_at"): "the server's clock",
    ("invoice", "number"): "numbers are given out in the order in which commands arrive",
    ("invoice", "issued_at"): "the server's clock",
    ("invoice", "shown"): "names as printed, made with the number",
    ("invoice", "digest"): "that of the document with its number",
    ("approval", "received_at"): "the server's clock",
    ("stop", "notified_at"): "the server's clock",
    ("approval_link", "revoked_at"): "the server's clock",
    ("customer_question", "answered_at"): "the server's clock",
    ("plan_request", "taken_at"): "the server's clock",
    ("notice", "not_before"): "the server's clock, and the quiet hours",
    ("notice", "address"): "telephone numbers get their one form there",
    ("issue", "words"): "the server says by how much a place is short after each move",
    ("issue", "context"): "the server says by how much a place is short after each move",
    ("opt_out", "address"): "telephone numbers get their one form there",
    ("approval_link", "address"): "telephone numbers get their one form there",
}
"""Fields by kind (`*`: every kind) that only the server can know, each with the reason."""

SERVER_CREATED_ROWS: Mapping[tuple[str, str], str] = {
    ("*", "issue"): "the server files what people must settle",
    ("move_job", "notice"): "the server posts the message",
    ("tell_arrival", "notice"): "the server posts the message",
    ("send_approval_request", "notice"): "the server posts the message",
    ("mail_part_order", "notice"): "the server posts the message",
    ("send_ticket", "notice"): "the server posts the message",
    ("send_invoice", "notice"): "the server posts the message",
    ("send_billing_printout", "notice"): "the server posts the message",
    ("offer_quote", "approval_link"): "who was asked about the revision before is asked about this one",
    ("ask_urgent_stop", "plan_request"): "planned again without an id from the phone",
    ("fail_stop", "plan_request"): "planned again without an id from the phone",
    ("report_breakdown", "plan_request"): "planned again without an id from the phone",
    ("settle_issue", "payment"): "the server executes what was held",
    ("report_breakdown", "stop"): "the machines on the deck, each to be fetched",
}
"""Rows that only the server creates, by command (`*`: every one) and kind."""

RARE_ENTRIES = {
    ("job", "resumed_work"),
    ("offer_quote", "approval_link"),
    ("fail_stop", "plan_request"),
    ("move_job", "notice"),
    ("settle_issue", "payment"),
}
"""Entries too rare for the steps of the suite; a long run proves that they are needed."""
