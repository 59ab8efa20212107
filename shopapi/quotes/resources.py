"""The resources of quotes, and that of the shop, since up to app 0.2.0 the price book was edited with it."""

from shopapi.accounts import queries as accounts
from shopapi.accounts.models import Shop
from shopapi.accounts.rules import Permission, ShopRow
from shopapi.core.resources import Resource
from shopapi.quotes import queries
from shopapi.quotes.models import (
    Approval,
    ApprovalLink,
    CustomerQuestion,
    IntakeTerms,
    Line,
    PriceBook,
    Quote,
    Signature,
)
from shopapi.quotes.rules import QUOTE_TRANSITIONS
from shopapi.quotes.rules.approval_requests import ApprovalLinkRow, CustomerQuestionRow
from shopapi.quotes.rules.schemas import ApprovalRow, IntakeTermsRow, PriceBookRow, QuoteLineRow, QuoteRow, SignatureRow
from shopapi.quotes.services import approval_requests, decisions, drafts, intake_terms, shop

RESOURCES = (
    Resource(
        "shop",
        Shop,
        ShopRow,
        plural="shop",
        reads=Permission.READ,
        snapshot_order=-1,
        rows=accounts.shops,
        commands=(shop.edit_shop,),
        columns=("name", "currency", "zone", "paper_size", "changed_at"),
    ),
    Resource(
        "price_book",
        PriceBook,
        PriceBookRow,
        plural="price-book",
        reads=Permission.READ,
        show=queries.show_price_book,
        commands=(shop.edit_price_book,),
        columns=("shop", "changed_at"),
    ),
    Resource(
        "intake_terms",
        IntakeTerms,
        IntakeTermsRow,
        plural="intake-terms",
        reads=Permission.READ,
        filters=("job_id",),
        commands=(intake_terms.record_intake_terms,),
        computed_fields=("member_id",),
        columns=("job", "accepted_by_name", "accepted_at", "diagnosis_fee_minor", "storage_per_day_minor", "member"),
    ),
    Resource(
        "quote",
        Quote,
        QuoteRow,
        reads=Permission.READ,
        rows=queries.quotes,
        show=queries.show_quote,
        filters=("job_id", "state"),
        commands=(
            drafts.draft_quote,
            drafts.edit_quote,
            drafts.choose_tax_profile,
            drafts.offer_quote,
            drafts.withdraw_quote,
            drafts.remake_pdf,
            drafts.number_quote,
        ),
        computed_fields=("revision", "pdf"),
        transitions={"state": QUOTE_TRANSITIONS},
        columns=("number", "mark", "revision", "kind", "state", "valid_until", "offered_at", "pdf_state"),
        column_filters=("state", "pdf_state"),
        search=("number", "mark"),
    ),
    Resource(
        "quote_line",
        Line,
        QuoteLineRow,
        reads=Permission.READ,
        show=queries.show_line,
        filters=("quote_id",),
        commands=(drafts.put_quote_line, drafts.remove_quote_line),
        columns=("quote", "position", "kind", "words", "decided"),
    ),
    Resource(
        "approval",
        Approval,
        ApprovalRow,
        reads=Permission.READ,
        filters=("quote_id",),
        commands=(decisions.decide_quote,),
        computed_fields=("matches", "received_at", "member_id", "device_id"),
        columns=("quote", "revision", "how", "decided_by_name", "decided_at", "matches", "accepted_total_minor"),
        column_filters=("how", "matches"),
    ),
    # Signatures are created with the approval or hand-over that they sign.
    Resource("signature", Signature, SignatureRow, columns=("signer_name", "created_at", "digest")),
    Resource(
        "approval_link",
        ApprovalLink,
        ApprovalLinkRow,
        reads=Permission.READ,
        filters=("quote_id",),
        commands=(approval_requests.send_approval_request, approval_requests.revoke_approval_link),
        computed_fields=("revision", "expires_at", "created_by_id"),
        columns=("quote", "revision", "channel", "address", "expires_at", "opened_count", "used_at", "revoked_at"),
        column_filters=("channel",),
        hidden=("token_hash",),
    ),
    Resource(
        "customer_question",
        CustomerQuestion,
        CustomerQuestionRow,
        reads=Permission.READ,
        filters=("quote_id",),
        commands=(approval_requests.answer_customer_question,),
        columns=("quote", "name", "words", "asked_at", "answered_at"),
    ),
)
