from django.contrib import admin

from shopapi.core.backstage import Table
from shopapi.files.models import Attachment, Upload, UploadDay


@admin.register(Attachment)
class AttachmentTable(Table):
    list_display = ("about_kind", "about_id", "state", "bytes", "taken_at", "added_by")
    list_select_related = ("added_by",)
    list_filter = ("state", "about_kind")


@admin.register(Upload)
class UploadTable(Table):
    list_display = ("attachment", "offset", "expires_at")
    list_select_related = ("attachment",)


@admin.register(UploadDay)
class UploadDayTable(Table):
    list_display = ("day", "bytes")
