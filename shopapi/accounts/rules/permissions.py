"""Roles, permissions and who has which."""

from collections.abc import Mapping

from shopapi.core.enums import TextEnum


class Role(TextEnum):
    OWNER = "owner"
    OFFICE = "office"
    MECHANIC = "mechanic"


class Permission(TextEnum):
    """Permissions. Their values are stable: clients and stored data use them.

    UPLOAD_PENDING, sending the commands queued on a phone, is the only one of former members.
    """

    UPLOAD_PENDING = "hand_in"
    READ = "read"
    SEE_COST = "see_cost"
    EDIT_SHOP = "edit_shop"
    MANAGE_MEMBERS = "manage_members"
    MANAGE_CUSTOMERS = "manage_customers"
    MANAGE_MACHINES = "manage_machines"
    WORK_JOBS = "work_jobs"
    CLOCK = "clock"
    CORRECT_TIME = "correct_time"
    PLAN_RUNS = "plan_runs"
    PLAN_OWN_DAY = "plan_own_day"
    DRIVE_RUNS = "drive_runs"
    QUOTE = "quote"
    OFFER = "offer"
    RECORD_DECISION = "record_decision"
    MESSAGE = "message"
    FOLLOW_UP = "follow_up"
    SETTLE_ISSUES = "settle_issues"
    SEE_AUDIT = "see_audit"
    ORDER_PARTS = "order_parts"
    BILL = "bill"
    KEEP_BOOKS = "keep_books"


_MECHANIC = frozenset(
    {
        Permission.UPLOAD_PENDING,
        Permission.READ,
        Permission.MANAGE_CUSTOMERS,
        Permission.MANAGE_MACHINES,
        Permission.WORK_JOBS,
        Permission.CLOCK,
        Permission.DRIVE_RUNS,
        Permission.PLAN_OWN_DAY,
        Permission.QUOTE,
        Permission.OFFER,
        Permission.RECORD_DECISION,
        Permission.MESSAGE,
        Permission.FOLLOW_UP,
        Permission.SETTLE_ISSUES,
        Permission.BILL,
    }
)


_OFFICE = _MECHANIC | {
    Permission.CORRECT_TIME,
    Permission.PLAN_RUNS,
    Permission.SEE_COST,
    Permission.SEE_AUDIT,
    Permission.ORDER_PARTS,
    Permission.KEEP_BOOKS,
}


PERMISSIONS: Mapping[Role, frozenset[Permission]] = {
    Role.MECHANIC: _MECHANIC,
    Role.OFFICE: _OFFICE,
    Role.OWNER: frozenset(Permission),
}


NEVER_HELD = frozenset({Permission.MANAGE_MEMBERS, Permission.EDIT_SHOP, Permission.SETTLE_ISSUES, Permission.READ})
"""A command that needs one of these runs at once or is refused; it is never held for somebody else to release.

They decide who works here, with which devices, and at what prices. What needs READ alone (push messages) is about
the sending device.
"""


def permissions_of(role: Role, *, may_see_cost: bool) -> frozenset[str]:
    """The permissions of a member: those of the role, and costs where the owner allowed them."""
    extra = {Permission.SEE_COST} if may_see_cost else set()
    return frozenset(PERMISSIONS[role] | extra)


def is_last_owner(role: Role, *, owners: int) -> bool:
    """Whether a shop with so many active owners would have none if this member left."""
    return role == Role.OWNER and owners <= 1
