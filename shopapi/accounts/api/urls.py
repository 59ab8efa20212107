from django.urls import path

from shopapi.accounts import queries, services
from shopapi.accounts.api.views import FirstShopView, SessionView
from shopapi.accounts.rules import DeviceRow, MemberRow, Permission
from shopapi.core.http import Noun

members = Noun("members", MemberRow, queries.members, queries.show_member, Permission.READ, add=services.add_member)
devices = Noun(
    "devices",
    DeviceRow,
    queries.devices,
    queries.show_device,
    Permission.MANAGE_MEMBERS,
    verbs={"revoke": services.revoke_device},
)

urlpatterns = [
    path("session", SessionView.as_view(), name="session"),
    path("shops", FirstShopView.as_view(), name="first_shop"),
    *members.urls(),
    *devices.urls(),
]
