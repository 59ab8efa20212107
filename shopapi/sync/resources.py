"""The resources of sync."""

from shopapi.accounts.rules import Permission
from shopapi.core.models import Issue
from shopapi.core.resources import Resource
from shopapi.sync.queries import show_issue
from shopapi.sync.rules.issue import IssueRow
from shopapi.sync.services.issues import settle_issue

RESOURCES = (
    Resource(
        "issue",
        Issue,
        IssueRow,
        reads=Permission.READ,
        show=show_issue,
        commands=(settle_issue,),
        columns=("created_at", "kind", "name", "words", "state", "choice"),
        reasons=("words",),
        column_filters=("state", "kind"),
    ),
)
