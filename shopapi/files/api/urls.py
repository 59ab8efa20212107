from uuid import UUID

from django.urls import path

from shopapi.accounts.rules import Permission
from shopapi.core.http import Filters, Noun
from shopapi.files import queries
from shopapi.files.api.views import PictureView, ThumbnailView, UploadsView, UploadView
from shopapi.files.rules import About, AttachmentRow
from shopapi.files.services import attaching


class AttachmentFilters(Filters):
    about_kind: About | None = None
    about_id: UUID | None = None


attachments = Noun(
    "attachments",
    AttachmentRow,
    queries.attachments,
    queries.show_attachment,
    Permission.READ,
    filters=AttachmentFilters,
    add=attaching.add_attachment,
    verbs={"edit": attaching.edit_attachment, "remove": attaching.remove_attachment},
)

urlpatterns = [
    *attachments.urls(),
    path("attachments/<uuid:row_id>/picture", PictureView.as_view(), name="attachments_picture"),
    path("attachments/<uuid:row_id>/thumbnail", ThumbnailView.as_view(), name="attachments_thumbnail"),
    path("uploads", UploadsView.as_view(), name="uploads"),
    path("uploads/<uuid:row_id>", UploadView.as_view(), name="upload"),
]
