from datetime import date
from typing import Literal
from uuid import UUID

from django.urls import path

from shopapi.accounts.rules import Permission
from shopapi.core.http import Filters, Noun
from shopapi.dispatch import queries
from shopapi.dispatch.api.views import CalendarAddressView, PrintoutView
from shopapi.dispatch.rules.records import (
    CalendarFeedRow,
    HandOverRow,
    PlanRequestRow,
    PrintoutRow,
    RigRow,
    RunRow,
    StopRow,
    YardRow,
)
from shopapi.dispatch.services import asking, breaking, calendars, driving, making, printing, rigs, stops


class RigFilters(Filters):
    active: bool | None = None


class RunFilters(Filters):
    day: date | None = None
    rig_id: UUID | None = None
    state: Literal["planned", "locked", "driving", "done", "cancelled"] | None = None


class StopFilters(Filters):
    job_id: UUID | None = None
    run_id: UUID | None = None
    state: Literal["asked", "planned", "driving", "arrived", "left", "failed", "dropped"] | None = None


class HandOverFilters(Filters):
    job_id: UUID | None = None
    stop_id: UUID | None = None


yards = Noun(
    "yards",
    YardRow,
    queries.yards,
    queries.show_yard,
    Permission.READ,
    add=rigs.set_up_yard,
    verbs={"edit": rigs.edit_yard},
)
rigs_of = Noun(
    "rigs",
    RigRow,
    queries.rigs,
    queries.show_rig,
    Permission.READ,
    filters=RigFilters,
    add=rigs.add_rig,
    verbs={"edit": rigs.edit_rig, "break-down": breaking.report_breakdown, "mend": breaking.mend_rig},
)
runs = Noun(
    "runs",
    RunRow,
    queries.runs,
    queries.show_run,
    Permission.READ,
    filters=RunFilters,
    add=stops.open_run,
    verbs={
        "lock": stops.lock_run,
        "unlock": stops.unlock_run,
        "cancel": stops.cancel_run,
        "start": driving.start_run,
        "end": driving.end_run,
    },
)
stops_of = Noun(
    "stops",
    StopRow,
    queries.stops,
    queries.show_stop,
    Permission.READ,
    filters=StopFilters,
    add=stops.ask_stop,
    also={"urgent": stops.ask_urgent_stop},
    verbs={
        "edit": stops.edit_stop,
        "drop": stops.drop_stop,
        "restore": stops.restore_stop,
        "pin": stops.pin_stop,
        "move": stops.move_stop,
        "arrive": driving.arrive_stop,
        "leave": driving.leave_stop,
        "take-back": driving.take_back_stamp,
        "fail": driving.fail_stop,
        "tell": stops.tell_arrival,
    },
)
hand_overs = Noun(
    "hand-overs",
    HandOverRow,
    queries.hand_overs,
    queries.show_hand_over,
    Permission.READ,
    filters=HandOverFilters,
    add=driving.hand_over,
)
plan_requests = Noun(
    "plan-requests",
    PlanRequestRow,
    queries.plans,
    queries.show_plan,
    Permission.READ,
    add=asking.request_plan,
    verbs={"cancel": asking.cancel_plan, "take": making.take_plan},
)

printouts = Noun(
    "printouts",
    PrintoutRow,
    queries.printouts,
    queries.show_printout,
    Permission.READ,
    add=printing.print_run,
    also={"tags": printing.print_tags, "hand-over": printing.print_hand_over},
)
calendar_feeds = Noun(
    "calendar-feeds",
    CalendarFeedRow,
    queries.calendars,
    queries.show_calendar,
    Permission.DRIVE_RUNS,
    add=calendars.open_calendar,
    verbs={"revoke": calendars.revoke_calendar},
)

urlpatterns = [
    path("printouts/<uuid:row_id>/paper", PrintoutView.as_view(), name="printouts_paper"),
    path("calendar-feeds/<uuid:row_id>/address", CalendarAddressView.as_view(), name="calendar_feeds_address"),
    *yards.urls(),
    *rigs_of.urls(),
    *runs.urls(),
    *stops_of.urls(),
    *hand_overs.urls(),
    *plan_requests.urls(),
    *printouts.urls(),
    *calendar_feeds.urls(),
]
