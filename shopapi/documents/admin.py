from django.contrib import admin

from shopapi.core.admin_base import ReadOnlyModelAdmin
from shopapi.documents.models import Document


@admin.register(Document)
class DocumentAdmin(ReadOnlyModelAdmin):
    list_display = ("created_at", "media_type", "size", "sha256")
