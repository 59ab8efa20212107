from django.contrib import admin

from shopapi.core.backstage import Table
from shopapi.sync.models import LoggedCommand


@admin.register(LoggedCommand)
class LoggedCommandTable(Table):
    """What the phones have sent, and what became of it."""

    list_display = ("received_at", "device", "no", "name", "status", "code")
    list_select_related = ("device",)
    list_filter = ("status", "name")
