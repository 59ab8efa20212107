"""The resources of dispatch."""

from shopapi.accounts.rules import Permission
from shopapi.core.resources import Resource
from shopapi.dispatch import queries
from shopapi.dispatch.models import CalendarFeed, HandOver, PlanRequest, Printout, Rig, Run, Stop, Yard
from shopapi.dispatch.rules.schemas.calendar_feed import CalendarFeedRow
from shopapi.dispatch.rules.schemas.hand_over import HandOverRow
from shopapi.dispatch.rules.schemas.plan import PlanRequestRow
from shopapi.dispatch.rules.schemas.printout import PrintoutRow
from shopapi.dispatch.rules.schemas.rig import RigRow
from shopapi.dispatch.rules.schemas.run import RunRow
from shopapi.dispatch.rules.schemas.stop import StopRow
from shopapi.dispatch.rules.schemas.yard import YardRow
from shopapi.dispatch.rules.states import PLAN_TRANSITIONS, RUN_TRANSITIONS, STOP_TRANSITIONS
from shopapi.dispatch.services import (
    breakdowns,
    calendars,
    hand_overs,
    plan_acceptance,
    plan_requests,
    printouts,
    rigs,
    run_progress,
    stops,
    tickets,
)

RESOURCES = (
    Resource(
        "yard",
        Yard,
        YardRow,
        reads=Permission.READ,
        commands=(rigs.set_up_yard, rigs.edit_yard),
        columns=("lat", "lon", "opens", "closes", "learned"),
    ),
    Resource(
        "rig",
        Rig,
        RigRow,
        reads=Permission.READ,
        filters=("active",),
        commands=(rigs.add_rig, rigs.edit_rig, breakdowns.report_breakdown, breakdowns.repair_rig),
        columns=("name", "driver", "payload_kg", "active", "out_at"),
    ),
    Resource(
        "run",
        Run,
        RunRow,
        reads=Permission.READ,
        filters=("day", "rig_id", "state"),
        commands=(
            stops.open_run,
            stops.lock_run,
            stops.unlock_run,
            stops.cancel_run,
            run_progress.start_run,
            run_progress.end_run,
        ),
        computed_fields=("driver_id",),
        transitions={"state": RUN_TRANSITIONS},
        columns=("day", "rig", "driver", "state", "leaves_at", "home_at", "metres"),
        column_filters=("state",),
    ),
    Resource(
        "stop",
        Stop,
        StopRow,
        reads=Permission.READ,
        filters=("job_id", "supplier_id", "run_id", "state"),
        commands=(
            stops.ask_stop,
            stops.ask_urgent_stop,
            stops.ask_supplier_stop,
            stops.edit_stop,
            stops.drop_stop,
            stops.restore_stop,
            stops.pin_stop,
            stops.move_stop,
            run_progress.arrive_stop,
            run_progress.leave_stop,
            run_progress.take_back_stamp,
            run_progress.fail_stop,
            stops.tell_arrival,
        ),
        computed_fields=("site_id", "kind"),
        transitions={"state": STOP_TRANSITIONS},
        columns=("kind", "job", "site", "supplier", "state", "run", "arrives_at", "arrived_at", "left_at", "failure"),
        column_filters=("kind", "state", "failure"),
    ),
    Resource(
        "hand_over",
        HandOver,
        HandOverRow,
        reads=Permission.READ,
        filters=("job_id", "stop_id"),
        commands=(hand_overs.hand_over,),
        computed_fields=("job_id", "kind", "member_id", "reading_id", "meter_anomaly", "matches", "signature_id"),
        columns=("at", "kind", "job", "member", "meter_anomaly", "matches"),
    ),
    Resource(
        "plan_request",
        PlanRequest,
        PlanRequestRow,
        reads=Permission.READ,
        commands=(plan_requests.request_plan, plan_requests.cancel_plan, plan_acceptance.take_plan),
        computed_fields=("asked_by_id", "driver_id"),
        transitions={"state": PLAN_TRANSITIONS},
        columns=("created_at", "days", "cause", "state", "permille", "error", "taken_at"),
        reasons=("error",),
        column_filters=("state", "cause"),
    ),
    Resource(
        "printout",
        Printout,
        PrintoutRow,
        reads=Permission.READ,
        commands=(
            printouts.print_run,
            printouts.print_tags,
            printouts.print_hand_over,
            tickets.print_ticket,
            tickets.send_ticket,
        ),
        computed_fields=("kind",),
        columns=("created_at", "kind", "run", "job", "state", "reason"),
        reasons=("reason",),
        column_filters=("kind", "state"),
    ),
    Resource(
        "calendar_feed",
        CalendarFeed,
        CalendarFeedRow,
        reads=Permission.DRIVE_RUNS,
        synced=False,
        # The phone requests the address right after opening the feed, so this needs a connection.
        queued=False,
        rows=queries.calendars,
        show=queries.show_calendar,
        commands=(calendars.open_calendar, calendars.revoke_calendar),
        columns=("member", "created_at", "revoked_at"),
    ),
)
