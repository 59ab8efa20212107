from uuid import UUID

from shopapi.accounts.rules import Permission
from shopapi.core.http import Filters, Noun
from shopapi.reminders import queries, services
from shopapi.reminders.rules import FollowUpRow, FollowUpState, Kind


class FollowUpFilters(Filters):
    kind: Kind | None = None
    state: FollowUpState | None = None
    about_id: UUID | None = None
    job_id: UUID | None = None


follow_ups = Noun(
    "follow-ups",
    FollowUpRow,
    queries.follow_ups,
    queries.show_follow_up,
    Permission.READ,
    filters=FollowUpFilters,
    verbs={
        "put-off": services.put_off_follow_up,
        "drop": services.drop_follow_up,
        "take-up": services.take_up_follow_up,
    },
)

urlpatterns = follow_ups.urls()
