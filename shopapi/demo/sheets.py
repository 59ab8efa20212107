"""What the demo shop knows of one invented tractor. The figures are common practice with no source, no maker's data."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from shopapi.machines.services import add_limit, add_sheet, add_sheet_entry, record_service

SHEET = {
    "title": "Hartvale GT 18",
    "kind": "garden tractor",
    "make": "Hartvale",
    "model": "GT 18",
    "family": "Hartvale GT",
}
LIMITS: Sequence[Mapping[str, Any]] = (
    {
        "what": "Ignition air gap",
        "quantity": "length",
        "unit": "in",
        "nominal": "0.016",
        "tolerance": "0.008",
        "condition": "cold",
        "critical": True,
    },
    {"what": "Cover torque", "quantity": "torque", "unit": "lbf.ft", "nominal": "7.5"},
)
ENTRIES: Sequence[Mapping[str, Any]] = (
    {
        "kind": "fastener",
        "words": "Blower cover",
        "thread": "1/4-20",
        "length": "3/4 in",
        "head": "hex flange",
        "count": 6,
        "torque": "7.5",
        "torque_unit": "lbf.ft",
    },
    {"kind": "order", "first": "Deck belt", "second": "Belt cover", "words": "The belt does not pass under the cover."},
    {"kind": "operation", "words": "Set the ignition air gap", "hours": "0.4"},
    {"kind": "service", "words": "Engine oil and filter", "hours": "50", "months": 12},
    {"kind": "service", "words": "Air filter", "hours": "100"},
    {"kind": "lesson", "words": "The left cover bolt is hidden behind the muffler guard."},
)


# The machine of the scenario that is due for them, and how many days before its last day they were done.
SERVICED = "hv-18-goodwin"
DONE_DAYS_AGO: Mapping[str, int] = {"Engine oil and filter": 318, "Air filter": 318}


def create_services(
    do: Callable[..., Any], id_of: Callable[[str, str, datetime], UUID], machine_id: UUID, at: datetime
) -> None:
    """Note the services that were done on one machine, of which one is due again."""
    for what, days in DONE_DAYS_AGO.items():
        done_on = (at - timedelta(days=days)).date()
        do("mechanic", record_service, id=id_of("service", what, at), machine_id=machine_id, what=what, done_on=done_on)


def create_sheets(do: Callable[..., Any], id_of: Callable[[str, str, datetime], UUID], at: datetime) -> None:
    """Add the sheet with its limits and entries, as the mechanic."""
    sheet_id = id_of("sheet", "gt-18", at)
    do("mechanic", add_sheet, id=sheet_id, **SHEET)
    for limit in LIMITS:
        do("mechanic", add_limit, id=id_of("limit", limit["what"], at), sheet_id=sheet_id, **limit)
    for entry in ENTRIES:
        do("mechanic", add_sheet_entry, id=id_of("sheet_entry", entry["words"], at), sheet_id=sheet_id, **entry)
