"""The resources of accounts. The shop itself is declared in `quotes`, which knows its price book."""

from shopapi.accounts.models import ApiToken, Device, Invitation, Member
from shopapi.accounts.queries import show_api_key
from shopapi.accounts.rules import AuditRow, DeviceRow, InvitationRow, MemberRow, Permission
from shopapi.accounts.rules.api_keys import ApiKeyRow
from shopapi.accounts.services import devices, invitations, members, tokens
from shopapi.core.models import AuditEvent
from shopapi.core.resources import Resource

RESOURCES = (
    Resource(
        "member",
        Member,
        MemberRow,
        reads=Permission.READ,
        commands=(members.end_membership, members.resume_membership),
        columns=("name", "role", "may_see_cost", "active", "created_at"),
        # User has no shop, so its table has no policy and is not listed here.
        hidden=("user",),
    ),
    Resource(
        "invitation",
        Invitation,
        InvitationRow,
        reads=Permission.MANAGE_MEMBERS,
        synced=False,
        commands=(invitations.invite_member, invitations.withdraw_invitation),
        columns=("name", "email", "role", "expires_at", "accepted_at", "withdrawn_at"),
        hidden=("token_hash",),
    ),
    Resource(
        "device",
        Device,
        DeviceRow,
        reads=Permission.MANAGE_MEMBERS,
        synced=False,
        commands=(devices.revoke_device,),
        columns=("letter", "label", "member", "build", "next_no", "skew_ms", "revoked_at"),
    ),
    Resource(
        "api_key",
        ApiToken,
        ApiKeyRow,
        reads=Permission.MANAGE_MEMBERS,
        synced=False,
        # Its value is made by the server, so this needs a connection.
        queued=False,
        show=show_api_key,
        commands=(tokens.add_api_key, tokens.revoke_api_key),
        columns=("label", "member", "created_at", "expires_at", "last_used_on", "revoked_at"),
        hidden=("digest",),
    ),
    Resource(
        "audit_event",
        AuditEvent,
        AuditRow,
        reads=Permission.SEE_AUDIT,
        synced=False,
        filters=("subject_id", "member_id"),
        columns=("at", "event", "subject_kind", "subject_id", "member_id", "device_id"),
        column_filters=("event",),
        search=("=subject_id", "=command_id"),
    ),
)
