from django.contrib import admin

from shopapi.core.backstage import Table
from shopapi.labor.models import TimeEntry, WorkHistory


@admin.register(TimeEntry)
class TimeEntryTable(Table):
    list_display = ("member", "kind", "job", "started_at", "ended_at", "state", "corrects", "reason")
    list_select_related = ("member", "job", "corrects")
    list_filter = ("kind", "state")


@admin.register(WorkHistory)
class WorkHistoryTable(Table):
    list_display = ("operation", "machine_kind", "minutes", "reworked")
