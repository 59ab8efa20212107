from django.contrib import admin

from shopapi.core.backstage import Table
from shopapi.reminders.models import FollowUp


@admin.register(FollowUp)
class FollowUpTable(Table):
    list_display = ("kind", "due_on", "until", "state", "about_kind", "about_id")
    list_filter = ("kind", "state")
