from uuid import UUID

from django.urls import path

from shopapi.accounts.rules import Permission
from shopapi.core.http import Filters, Noun
from shopapi.labor import queries, services
from shopapi.labor.api.views import ByHandView, CorrectionsView
from shopapi.labor.rules.entry import Kind, State, TimeEntryRow


class TimeEntryFilters(Filters):
    member_id: UUID | None = None
    job_id: UUID | None = None
    kind: Kind | None = None
    state: State | None = None


time_entries = Noun(
    "time-entries",
    TimeEntryRow,
    queries.time_entries,
    queries.show_entry,
    Permission.READ,
    filters=TimeEntryFilters,
    add=services.start_clock,
    verbs={"stop": services.stop_clock, "drop": services.drop_entry, "settle": services.settle_entries},
)

urlpatterns = [
    path("time-entries/by-hand", ByHandView.as_view(), name="time_entries_by_hand"),
    path("time-entries/corrections", CorrectionsView.as_view(), name="time_entries_corrections"),
    *time_entries.urls(),
]
