from uuid import UUID

from django.urls import path

from shopapi.accounts import queries, services
from shopapi.accounts.api.views import FirstShopView, PasswordView, SessionView
from shopapi.accounts.rules import AuditRow, DeviceRow, MemberRow, Permission
from shopapi.core.http import Filters, Noun

members = Noun(
    "members",
    MemberRow,
    queries.members,
    queries.show_member,
    Permission.READ,
    add=services.add_member,
    verbs={"end": services.end_membership, "resume": services.resume_membership},
)
devices = Noun(
    "devices",
    DeviceRow,
    queries.devices,
    queries.show_device,
    Permission.MANAGE_MEMBERS,
    verbs={"revoke": services.revoke_device},
)


class AuditFilters(Filters):
    subject_id: UUID | None = None
    member_id: UUID | None = None


audit_events = Noun(
    "audit-events",
    AuditRow,
    queries.audit_events,
    queries.show_audit_event,
    Permission.SEE_AUDIT,
    filters=AuditFilters,
)

urlpatterns = [
    path("session", SessionView.as_view(), name="session"),
    path("session/password", PasswordView.as_view(), name="password"),
    path("shops", FirstShopView.as_view(), name="first_shop"),
    *members.urls(),
    *devices.urls(),
    *audit_events.urls(),
]
