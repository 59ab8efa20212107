"""The resources of reminders."""

from shopapi.accounts.rules import Permission
from shopapi.core.resources import Resource
from shopapi.reminders import queries, services
from shopapi.reminders.models import FollowUp
from shopapi.reminders.rules import FollowUpRow

RESOURCES = (
    Resource(
        "follow_up",
        FollowUp,
        FollowUpRow,
        reads=Permission.READ,
        rows=queries.follow_ups,
        show=queries.show_follow_up,
        filters=("kind", "state", "about_id", "job_id"),
        commands=(services.put_off_follow_up, services.drop_follow_up, services.take_up_follow_up),
        columns=("kind", "due_on", "until", "state", "about_kind", "about_id"),
        column_filters=("kind", "state"),
    ),
)
