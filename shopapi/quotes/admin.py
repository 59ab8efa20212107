from django.contrib import admin

from shopapi.core.backstage import Table
from shopapi.quotes.models import Approval, ApprovalLink, Line, OwnerQuestion, Quote, Signature


@admin.register(Quote)
class QuoteTable(Table):
    list_display = ("number", "mark", "revision", "kind", "state", "valid_until", "offered_at", "paper_state")
    list_filter = ("state", "paper_state")
    search_fields = ("number", "mark")


@admin.register(Line)
class LineTable(Table):
    list_display = ("quote", "position", "kind", "words", "decided")
    list_select_related = ("quote",)


@admin.register(Approval)
class ApprovalTable(Table):
    list_display = ("quote", "revision", "how", "decided_by_name", "decided_at", "matches", "accepted_total_minor")
    list_select_related = ("quote",)
    list_filter = ("how", "matches")


@admin.register(Signature)
class SignatureTable(Table):
    list_display = ("signer_name", "created_at", "digest")


@admin.register(ApprovalLink)
class ApprovalLinkTable(Table):
    list_display = ("quote", "revision", "channel", "address", "expires_at", "opened_count", "used_at", "revoked_at")
    list_filter = ("channel",)
    exclude = ("token_hash",)


@admin.register(OwnerQuestion)
class OwnerQuestionTable(Table):
    list_display = ("quote", "name", "words", "asked_at", "answered_at")
