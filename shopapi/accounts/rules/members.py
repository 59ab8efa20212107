"""Members as devices see them."""

from shopapi.accounts.rules.permissions import Role
from shopapi.core.schema import Row


class MemberRow(Row):
    name: str
    role: Role
    may_see_cost: bool
    active: bool
