from django.contrib import admin

from shopapi.accounts.models import ApiToken, Device, Member, Shop
from shopapi.core.backstage import Table


@admin.register(Shop)
class ShopTable(Table):
    list_display = ("name", "currency", "zone", "paper", "changed_at")


@admin.register(Member)
class MemberTable(Table):
    list_display = ("name", "role", "may_see_cost", "active", "created_at")
    # A sign-in knows no shop, so its table has no policy and no place here.
    exclude = ("user",)


@admin.register(Device)
class DeviceTable(Table):
    list_display = ("letter", "label", "member", "build", "next_no", "skew_ms", "revoked_at")
    list_select_related = ("member",)


@admin.register(ApiToken)
class ApiTokenTable(Table):
    list_display = ("label", "member", "created_at", "revoked_at")
    list_select_related = ("member",)
    exclude = ("digest",)
