from django.contrib import admin

from shopapi.core.backstage import Table
from shopapi.notices.models import Notice, NoticeTemplate, OptOut, PushSubscription


@admin.register(Notice)
class NoticeTable(Table):
    list_display = ("created_at", "channel", "template", "address", "state", "tries", "reason", "sent_at")
    list_filter = ("state", "channel", "template")
    search_fields = ("address", "=about_id")


@admin.register(NoticeTemplate)
class NoticeTemplateTable(Table):
    list_display = ("key", "channel", "subject")


@admin.register(OptOut)
class OptOutTable(Table):
    list_display = ("channel", "address", "member", "created_at")
    list_select_related = ("member",)


@admin.register(PushSubscription)
class PushSubscriptionTable(Table):
    list_display = ("member", "device", "created_at")
    list_select_related = ("member", "device")
    exclude = ("endpoint", "p256dh", "auth")
