"""Cautions at the step where work can hurt somebody, and who has read them on which job."""

from uuid import UUID

from pydantic import AwareDatetime

from shopapi.core.enums import TextEnum
from shopapi.core.schema import Moment, Row, Schema


class WorkCaution(TextEnum):
    """What can hurt; the text of each is on the phone (`pwa/src/domain/words/cautions.ts`)."""

    RAISED_MACHINE = "raised_machine"
    FUEL = "fuel"
    BATTERY = "battery"
    HOT_COOLANT = "hot_coolant"
    SPRINGS = "springs"
    ROTATING_PARTS = "rotating_parts"
    RUNNING_ENGINE = "running_engine"


class CautionSeenRecord(Schema):
    """A caution that a member has read on a job. It is shown to each member once a job."""

    id: UUID
    job_id: UUID
    code: WorkCaution
    seen_at: Moment


class CautionSeenRow(Row):
    job_id: UUID
    code: WorkCaution
    seen_at: AwareDatetime
    member_id: UUID | None
