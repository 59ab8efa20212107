from typing import Literal
from uuid import UUID

from django.urls import path

from shopapi.accounts import queries as accounts
from shopapi.accounts.rules import Permission, ShopRow
from shopapi.core.http import Filters, Noun
from shopapi.quotes import queries
from shopapi.quotes.api.reports import quoted
from shopapi.quotes.api.views import AgreedView, LinkAddressView, PaperView
from shopapi.quotes.queries import asking as asked
from shopapi.quotes.rules.asking import ApprovalLinkRow, OwnerQuestionRow
from shopapi.quotes.rules.records import ApprovalRow, QuoteLineRow, QuoteRow
from shopapi.quotes.services import asking, deciding, writing


class QuoteFilters(Filters):
    job_id: UUID | None = None
    state: Literal["draft", "offered", "decided", "lapsed", "replaced", "withdrawn"] | None = None


class OfQuote(Filters):
    quote_id: UUID | None = None


quotes = Noun(
    "quotes",
    QuoteRow,
    queries.quotes,
    queries.show_quote,
    Permission.READ,
    filters=QuoteFilters,
    add=writing.draft_quote,
    verbs={
        "edit": writing.edit_quote,
        "offer": writing.offer_quote,
        "withdraw": writing.withdraw_quote,
        "remake-paper": writing.remake_paper,
    },
)
quote_lines = Noun(
    "quote-lines",
    QuoteLineRow,
    queries.lines,
    queries.show_line,
    Permission.READ,
    filters=OfQuote,
    add=writing.put_quote_line,
    verbs={"remove": writing.remove_quote_line},
)
approvals = Noun(
    "approvals",
    ApprovalRow,
    queries.approvals,
    queries.show_approval,
    Permission.READ,
    filters=OfQuote,
    add=deciding.decide_quote,
)
approval_links = Noun(
    "approval-links",
    ApprovalLinkRow,
    asked.links,
    asked.show_link,
    Permission.READ,
    filters=OfQuote,
    add=asking.send_approval_request,
    verbs={"revoke": asking.revoke_approval_link},
)
owner_questions = Noun(
    "owner-questions",
    OwnerQuestionRow,
    asked.questions,
    asked.show_question,
    Permission.READ,
    filters=OfQuote,
    verbs={"answer": asking.answer_owner_question},
)
shop = Noun("shop", ShopRow, accounts.shops, accounts.show_shop, Permission.READ, verbs={"edit": writing.edit_shop})

urlpatterns = [
    *quoted.urls(),
    path("quotes/<uuid:row_id>/paper", PaperView.as_view(), name="quotes_paper"),
    path("jobs/<uuid:row_id>/agreed", AgreedView.as_view(), name="jobs_agreed"),
    *quotes.urls(),
    *quote_lines.urls(),
    *approvals.urls(),
    path("approval-links/<uuid:row_id>/address", LinkAddressView.as_view(), name="approval_links_address"),
    *approval_links.urls(),
    *owner_questions.urls(),
    *shop.urls(),
]
