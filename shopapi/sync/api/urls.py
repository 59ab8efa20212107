from django.urls import path

from shopapi.accounts.rules import Permission
from shopapi.core.http import Noun
from shopapi.sync import queries
from shopapi.sync.api.views import CommandView, DevicesView, PullView, PushView, SnapshotView
from shopapi.sync.rules import IssueRow
from shopapi.sync.services.settling import settle_issue

issues = Noun("issues", IssueRow, queries.issues, queries.show_issue, Permission.READ, verbs={"settle": settle_issue})

urlpatterns = [
    path("sync/devices", DevicesView.as_view(), name="sync_devices"),
    path("sync/push", PushView.as_view(), name="sync_push"),
    path("sync/pull", PullView.as_view(), name="sync_pull"),
    path("sync/snapshot", SnapshotView.as_view(), name="sync_snapshot"),
    path("sync/commands/<uuid:row_id>", CommandView.as_view(), name="sync_command"),
    *issues.urls(),
]
