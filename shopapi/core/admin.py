from django.contrib import admin

from shopapi.core.admin_base import ReadOnlyModelAdmin
from shopapi.core.models import Outbox


@admin.register(Outbox)
class OutboxAdmin(ReadOnlyModelAdmin):
    """The outbox: what is done, what is pending, what failed and why."""

    list_display = ("created_at", "task", "attempts", "run_after", "done_at", "failed_at")
    list_filter = ("task",)
