from django.urls import path

from shopapi.accounts import queries, services
from shopapi.accounts.api.views import FirstShopView, SessionView
from shopapi.accounts.rules import MemberRow, Permission
from shopapi.core.http import Noun

members = Noun("members", MemberRow, queries.members, queries.show_member, Permission.READ, add=services.add_member)

urlpatterns = [
    path("session", SessionView.as_view(), name="session"),
    path("shops", FirstShopView.as_view(), name="first_shop"),
    *members.urls(),
]
