from uuid import UUID

from shopapi.accounts.rules import Permission
from shopapi.core.http import Filters, Noun
from shopapi.labor import queries
from shopapi.labor.api.reports import REPORTS
from shopapi.labor.queries.history import show_work_history
from shopapi.labor.queries.history import work_histories as work_histories_of
from shopapi.labor.rules.entry import Kind, State, TimeEntryRow
from shopapi.labor.rules.records import WorkHistoryRow
from shopapi.labor.services import clocking, mending


class TimeEntryFilters(Filters):
    member_id: UUID | None = None
    job_id: UUID | None = None
    kind: Kind | None = None
    state: State | None = None


class WorkHistoryFilters(Filters):
    operation: str | None = None
    machine_kind: str | None = None


time_entries = Noun(
    "time-entries",
    TimeEntryRow,
    queries.time_entries,
    queries.show_entry,
    Permission.READ,
    filters=TimeEntryFilters,
    add=clocking.start_clock,
    also={"by-hand": mending.add_entry, "corrections": mending.correct_entry},
    verbs={"stop": clocking.stop_clock, "drop": mending.drop_entry, "settle": mending.settle_entries},
)

work_histories = Noun(
    "work-histories",
    WorkHistoryRow,
    work_histories_of,
    show_work_history,
    Permission.READ,
    filters=WorkHistoryFilters,
)

urlpatterns = [
    *time_entries.urls(),
    *work_histories.urls(),
    *(url for report in REPORTS for url in report.urls()),
]
