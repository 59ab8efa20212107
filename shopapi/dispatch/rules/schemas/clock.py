"""Times of day on the wire."""

from typing import Annotated

from pydantic import Field

ClockTime = Annotated[str, Field(pattern=r"^([01]\d|2[0-3]):[0-5]\d$")]
