from uuid import UUID

from django.urls import path

from shopapi.accounts.rules import Permission
from shopapi.core.http import Filters, Noun
from shopapi.jobs import queries, services
from shopapi.jobs.api.views import SearchView
from shopapi.jobs.rules import ComplaintRow, FindingRow, JobRow, Stage


class JobFilters(Filters):
    customer_id: UUID | None = None
    machine_id: UUID | None = None
    stage: Stage | None = None


class OfJob(Filters):
    job_id: UUID | None = None


jobs = Noun(
    "jobs",
    JobRow,
    queries.jobs,
    queries.show_job,
    Permission.READ,
    filters=JobFilters,
    add=services.open_job,
    verbs={"edit": services.edit_job, "move": services.move_job},
)
complaints = Noun(
    "complaints",
    ComplaintRow,
    queries.complaints,
    queries.show_complaint,
    Permission.READ,
    filters=OfJob,
    add=services.add_complaint,
)
findings = Noun(
    "findings",
    FindingRow,
    queries.findings,
    queries.show_finding,
    Permission.READ,
    filters=OfJob,
    add=services.record_finding,
    verbs={"edit": services.edit_finding, "remove": services.remove_finding},
)

urlpatterns = [
    path("search", SearchView.as_view(), name="search"),
    *jobs.urls(),
    *complaints.urls(),
    *findings.urls(),
]
