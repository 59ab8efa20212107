from django.contrib import admin

from shopapi.core.admin_base import ReadOnlyModelAdmin
from shopapi.sync.models import LoggedCommand


@admin.register(LoggedCommand)
class LoggedCommandAdmin(ReadOnlyModelAdmin):
    """The log of commands, read-only."""

    list_display = ("received_at", "device", "no", "name", "status", "code")
    list_select_related = ("device",)
    list_filter = ("status", "name")
