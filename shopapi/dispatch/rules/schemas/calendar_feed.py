"""The wire schemas of calendar feeds."""

from uuid import UUID

from pydantic import AwareDatetime

from shopapi.core.schema import Row, Schema


class NewCalendar(Schema):
    """A feed of the member's own runs. Its address contains a secret, of which only a hash is stored."""

    id: UUID


class CalendarAddress(Schema):
    """The secret address of a feed. Anybody who knows it can read the runs, so it must not be shared."""

    url: str


class CalendarFeedRow(Row):
    member_id: UUID
    revoked_at: AwareDatetime | None
