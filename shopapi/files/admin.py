from django.contrib import admin

from shopapi.core.admin_base import ReadOnlyModelAdmin
from shopapi.files.models import Upload, UploadDay


@admin.register(Upload)
class UploadAdmin(ReadOnlyModelAdmin):
    list_display = ("attachment", "offset", "expires_at")
    list_select_related = ("attachment",)


@admin.register(UploadDay)
class UploadDayAdmin(ReadOnlyModelAdmin):
    list_display = ("day", "bytes")
