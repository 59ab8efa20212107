from django.contrib import admin

from shopapi.accounts.models import ApiToken
from shopapi.core.admin_base import ReadOnlyModelAdmin


@admin.register(ApiToken)
class ApiTokenAdmin(ReadOnlyModelAdmin):
    list_display = ("label", "member", "created_at", "revoked_at")
    list_select_related = ("member",)
    exclude = ("digest",)
