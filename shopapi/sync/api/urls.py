from django.urls import path

from shopapi.sync.api.changes import ChangesView
from shopapi.sync.api.views import CommandView, DevicesView, PullView, PushView, SnapshotView

urlpatterns = [
    path("changes", ChangesView.as_view(), name="changes"),
    path("sync/devices", DevicesView.as_view(), name="sync_devices"),
    path("sync/push", PushView.as_view(), name="sync_push"),
    path("sync/pull", PullView.as_view(), name="sync_pull"),
    path("sync/snapshot", SnapshotView.as_view(), name="sync_snapshot"),
    path("sync/commands/<uuid:row_id>", CommandView.as_view(), name="sync_command"),
]
