from django.contrib import admin

from shopapi.core.backstage import Table
from shopapi.jobs.models import Complaint, Finding, Job


@admin.register(Job)
class JobTable(Table):
    list_display = ("number", "mark", "customer", "machine", "stage", "promised_on", "opened_at")
    list_select_related = ("customer", "machine")
    list_filter = ("stage",)
    search_fields = ("number", "mark")


@admin.register(Complaint)
class ComplaintTable(Table):
    list_display = ("job", "words", "taken_by", "created_at")
    list_select_related = ("job", "taken_by")


@admin.register(Finding)
class FindingTable(Table):
    list_display = ("job", "words", "rank", "decided", "found_by")
    list_select_related = ("job", "found_by")
    list_filter = ("rank", "decided")
