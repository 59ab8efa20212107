"""The wire schemas of calendar feeds."""

from uuid import UUID

from pydantic import AwareDatetime

from shopapi.core.schema import Row, Schema


class NewCalendar(Schema):
    """A feed of one's own runs. Its address holds a secret, of which only a hash is kept."""

    id: UUID


class CalendarAddress(Schema):
    """Whoever knows it can read the runs: for one's own calendar program, and nobody else."""

    url: str


class CalendarFeedRow(Row):
    member_id: UUID
    revoked_at: AwareDatetime | None
