from django.urls import path

from shopapi.files.api.views import PictureView, ThumbnailView, UploadsView, UploadView, VoiceView

urlpatterns = [
    path("attachments/<uuid:row_id>/picture", PictureView.as_view(), name="attachments_picture"),
    path("attachments/<uuid:row_id>/thumbnail", ThumbnailView.as_view(), name="attachments_thumbnail"),
    path("attachments/<uuid:row_id>/voice", VoiceView.as_view(), name="attachments_voice"),
    path("uploads", UploadsView.as_view(), name="uploads"),
    path("uploads/<uuid:row_id>", UploadView.as_view(), name="upload"),
]
