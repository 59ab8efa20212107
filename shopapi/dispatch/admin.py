from django.contrib import admin

from shopapi.core.admin_base import ReadOnlyModelAdmin
from shopapi.dispatch.models import DrivenLeg


@admin.register(DrivenLeg)
class DrivenLegAdmin(ReadOnlyModelAdmin):
    list_display = ("left_at", "stop", "seconds")
    list_select_related = ("stop",)
