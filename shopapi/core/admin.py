from django.contrib import admin

from shopapi.core.backstage import Table
from shopapi.core.models import AuditEvent, Issue, Outbox


@admin.register(AuditEvent)
class AuditEventTable(Table):
    list_display = ("at", "event", "subject_kind", "subject_id", "member_id", "device_id")
    list_filter = ("event",)
    search_fields = ("=subject_id", "=command_id")


@admin.register(Issue)
class IssueTable(Table):
    list_display = ("created_at", "kind", "name", "words", "state", "choice")
    list_filter = ("state", "kind")


@admin.register(Outbox)
class OutboxTable(Table):
    """Promised work: what is done, what is owed, what was given up and why."""

    list_display = ("created_at", "task", "attempts", "run_after", "done_at", "given_up_at")
    list_filter = ("task",)
