"""The resources of labor."""

from shopapi.accounts.rules import Permission
from shopapi.core.resources import Resource
from shopapi.labor import queries
from shopapi.labor.models import TimeEntry, WorkHistory
from shopapi.labor.rules.entry import TimeEntryRow
from shopapi.labor.rules.schemas import WorkHistoryRow
from shopapi.labor.services import clock, corrections

RESOURCES = (
    Resource(
        "time_entry",
        TimeEntry,
        TimeEntryRow,
        reads=Permission.READ,
        rows=queries.time_entries,
        filters=("member_id", "job_id", "kind", "state"),
        commands=(
            clock.start_clock,
            clock.stop_clock,
            corrections.add_entry,
            corrections.correct_entry,
            corrections.drop_entry,
            corrections.settle_entries,
        ),
        computed_fields=("member_id", "state"),
        columns=("member", "kind", "job", "started_at", "ended_at", "state", "corrects", "reason"),
        column_filters=("kind", "state"),
    ),
    Resource(
        "work_history",
        WorkHistory,
        WorkHistoryRow,
        reads=Permission.READ,
        filters=("operation", "machine_kind"),
        columns=("operation", "machine_kind", "minutes", "reworked"),
    ),
)
