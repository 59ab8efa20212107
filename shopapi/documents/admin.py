from django.contrib import admin

from shopapi.core.backstage import Table
from shopapi.documents.models import Document


@admin.register(Document)
class DocumentTable(Table):
    list_display = ("created_at", "media_type", "size", "sha256")
