"""Stops: created, edited, pinned, and moved by hand; runs made by hand."""

from datetime import date
from typing import cast
from uuid import UUID

from django.db.models import QuerySet

from shopapi.accounts.queries import shop_of
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.background import after_commit
from shopapi.core.clock import now, today
from shopapi.core.commands import command
from shopapi.core.edits import edit_row, edited
from shopapi.core.errors import Conflict, FieldError, Invalid, Reason, refuse_faults
from shopapi.core.languages import Language, locale_for
from shopapi.core.rows import refuse_known_id, row_among, row_for
from shopapi.core.schema import Edit, Target, to_json
from shopapi.customers.models import Site
from shopapi.dispatch import queries
from shopapi.dispatch.models import Rig, Run, Stop
from shopapi.dispatch.rules.hand_over_texts import TEXTS
from shopapi.dispatch.rules.schemas.run import CautionRow, NewRun
from shopapi.dispatch.rules.schemas.stop import (
    ArrivalPromise,
    NewStop,
    StopDrop,
    StopFields,
    StopMove,
    StopPin,
    SupplierStop,
    UrgentStop,
    faults_of_stop,
)
from shopapi.dispatch.rules.states import LIVE_RUNS, OPEN_STOPS, RunState, run_may_become, stop_may_become
from shopapi.dispatch.services.plan_requests import own_run_driver, replan_today
from shopapi.documents.rules import Figures
from shopapi.jobs.models import Job
from shopapi.notices.services.notices import post_notice
from shopapi.parts.models import Supplier


@command(needs=Permission.DRIVE_RUNS, creates_row=True)
def ask_stop(*, actor: Actor, data: NewStop) -> Stop:
    """Create a stop to fetch a machine, bring it back or work on it where it is."""
    refuse_known_id(Stop, data.id)
    job = row_for(Job, actor, data.job_id, field="job_id")
    refuse_faults(faults_of_stop(data), message="fields_invalid")
    site_id = data.site_id or job.site_id
    if site_id is None:
        raise Invalid("invalid", fields=[FieldError("site_id", "site_needed", message="job_has_no_site")])
    _check_site(actor, data, job)
    fields = data.model_dump(exclude={"plan_id", "site_id", "windows"})
    stop = Stop.objects.create(shop_id=actor.shop_id, site_id=site_id, windows=to_json(data.windows), **fields)
    record(actor, "stop asked for", ("stop", stop.id), job=job.id, kind=data.kind)
    if data.plan_id is not None:
        replan_today(actor, data.plan_id, "urgent", driver_id=own_run_driver(actor))
    return stop


@command(needs=Permission.DRIVE_RUNS, creates_row=True, rest_name="urgent")
def ask_urgent_stop(*, actor: Actor, data: UrgentStop) -> Stop:
    """Create an urgent stop: first priority, promised for today; the rest of today is planned again."""
    wanted = data.model_dump(exclude={"plan_id"})
    stop = ask_stop.within(
        actor=actor, data=NewStop(**wanted, priority="first", promised_on=today(shop_of(actor).zone))
    )
    replan_today(actor, data.plan_id, "urgent", driver_id=own_run_driver(actor))
    return stop


@command(needs=Permission.DRIVE_RUNS, creates_row=True, rest_name="at-supplier")
def ask_supplier_stop(*, actor: Actor, data: SupplierStop) -> Stop:
    """Create a stop to fetch parts at a supplier."""
    refuse_known_id(Stop, data.id)
    supplier = row_for(Supplier, actor, data.supplier_id, field="supplier_id", lock=False)
    stop = Stop.objects.create(shop_id=actor.shop_id, kind="fetch", **data.model_dump())
    record(actor, "stop asked for", ("stop", stop.id), supplier=supplier.id, kind="fetch")
    return stop


@command(needs=Permission.DRIVE_RUNS)
def edit_stop(*, actor: Actor, data: Edit[StopFields]) -> Stop:
    """Edit when, where or how a stop is to be made."""
    stop = _open_stop(actor, data.id)
    wanted = edited(stop, data)
    refuse_faults(faults_of_stop(wanted), message="fields_invalid")
    if stop.job is not None:
        if wanted.site_id is None:
            raise Invalid("invalid", fields=[FieldError("site_id", "site_needed", message="stop_needs_site")])
        _check_site(actor, wanted, stop.job)
    elif wanted.site_id is not None:
        raise Invalid("invalid", fields=[FieldError("site_id", "supplier_stop_has_no_site")])
    was = (stop.site_id, stop.lat, stop.lon)
    stop = edit_row(actor=actor, kind="stop", row=stop, edit=data, together=("lat", "lon"))
    if (stop.site_id, stop.lat, stop.lon) != was:
        _check_run_again(stop)
    return stop


def note_site_moved(*, actor: Actor, site_id: UUID) -> None:
    """Have the runs checked again that go to a site whose position was corrected."""
    _check_runs_again(Stop.objects.filter(shop=actor.shop_id, site=site_id))


def note_supplier_moved(*, actor: Actor, supplier_id: UUID) -> None:
    """Have the runs checked again that go to a supplier whose position was corrected."""
    _check_runs_again(Stop.objects.filter(shop=actor.shop_id, supplier=supplier_id))


def _check_runs_again(found: QuerySet[Stop]) -> None:
    # A stop with a position of its own does not go by that of its site.
    stops = found.filter(lat=None, state__in=OPEN_STOPS, run__isnull=False)
    for stop in stops.select_related("run").order_by("run", "trip", "position"):
        _check_run_again(stop)


def _check_run_again(stop: Stop) -> None:
    """The run of a stop whose place moved: planned ones are computed again, others say what is no longer right."""
    if stop.run is None or stop.run.state not in LIVE_RUNS:
        return
    run = row_among(Run.objects.filter(shop=stop.shop_id), stop.run.id)
    caution = CautionRow.because("place_moved", Reason("place_moved"), stop_id=stop.id)
    if run.state == "planned":
        clear_run_metrics(run, caution)
    elif to_json(caution) not in run.cautions:
        run.cautions = [*run.cautions, to_json(caution)]
        run.save(update_fields=["cautions"])


def _check_site(actor: Actor, data: StopFields, job: Job) -> None:
    if data.site_id is not None and row_for(Site, actor, data.site_id, field="site_id").customer_id != job.customer_id:
        raise Invalid("invalid", fields=[FieldError("site_id", "another_customer", message="site_of_another_customer")])


def _open_stop(actor: Actor, stop_id: UUID) -> Stop:
    """A stop that nobody has been to yet, locked. Raises NotFound or Conflict."""
    stop = row_for(Stop, actor, stop_id)
    if stop.state not in OPEN_STOPS:
        raise Conflict(
            "stop_over",
            message="stop_stays",
            fields=[FieldError("id", "stop_over", message="stop_stays", context={"state": stop.state})],
            context={"state": stop.state},
        )
    return stop


@command(needs=Permission.DRIVE_RUNS)
def drop_stop(*, actor: Actor, data: StopDrop) -> Stop:
    """Take out a stop that is no longer needed."""
    stop = row_for(Stop, actor, data.id)
    if stop.state == "dropped":
        return stop
    if not stop_may_become(stop.state, "dropped"):
        raise Conflict(
            "stop_over",
            message="stop_not_taken_out",
            fields=[FieldError("id", "stop_over", message="stop_not_taken_out", context={"state": stop.state})],
            context={"state": stop.state},
        )
    take_off_run(stop)
    stop.state = "dropped"
    stop.save()
    record(actor, "stop dropped", ("stop", stop.id), reason=data.reason)
    return stop


@command(needs=Permission.DRIVE_RUNS)
def restore_stop(*, actor: Actor, data: Target) -> Stop:
    """Restore a stop that was taken out."""
    stop = row_for(Stop, actor, data.id)
    if stop.state == "dropped":
        stop.state = "asked"
        stop.save(update_fields=["state"])
        record(actor, "stop asked for again", ("stop", stop.id))
    return stop


@command(needs=Permission.PLAN_RUNS)
def pin_stop(*, actor: Actor, data: StopPin) -> Stop:
    """Set what every plan must keep of a stop: its rig, its time, the stop before it."""
    stop = _open_stop(actor, data.id)
    if data.rig_id is not None:
        row_for(Rig, actor, data.rig_id, field="rig_id")
    if data.after_id is not None:
        _refuse_ring(actor, stop, data)
    stop.pin_rig_id, stop.pin_at, stop.pin_after_id = data.rig_id, data.at, data.after_id
    stop.save(update_fields=["pin_rig", "pin_at", "pin_after"])
    record(actor, "stop pinned", ("stop", stop.id), rig=data.rig_id, at=data.at, after=data.after_id)
    return stop


def _refuse_ring(actor: Actor, stop: Stop, data: StopPin) -> None:
    """Raise Invalid when a stop would have to come after itself."""
    seen = {stop.id}
    after: Stop | None = row_for(Stop, actor, data.after_id or stop.id, field="after_id")
    while after is not None:
        if after.id in seen:
            raise Invalid("invalid", fields=[FieldError("after_id", "order_ring")])
        seen.add(after.id)
        after = after.pin_after


@command(needs=Permission.DRIVE_RUNS)
def move_stop(*, actor: Actor, data: StopMove) -> Stop:
    """Move a stop by hand: within its run, to another run, or back to be planned."""
    stop = _open_stop(actor, data.id)
    before = stop.run
    if data.run_id is None:
        take_off_run(stop)
        stop.save()
    else:
        run = row_for(Run, actor, data.run_id, field="run_id")
        _refuse_shut(run, "run_id")
        rest = [one for one in queries.stops_of(run) if one.id != stop.id]
        ahead = sum(one.trip == data.trip and one.state not in OPEN_STOPS for one in rest)
        stop.run, stop.trip = run, data.trip
        if stop.state == "asked":
            stop.state = "planned"
        trip = [one for one in rest if one.trip == data.trip]
        trip.insert(min(max(data.position, ahead), len(trip)), stop)
        # All changed fields of the moved stop are saved, of the others only the position.
        for position, one in enumerate(trip):
            if one.id == stop.id or one.position != position:
                one.position = position
                one.save()
        clear_run_metrics(run)
    if before is not None and before.id != data.run_id:
        clear_run_metrics(before)
    record(actor, "stop moved", ("stop", stop.id), run=data.run_id, trip=data.trip, position=data.position)
    return stop


def take_off_run(stop: Stop) -> None:
    """Take a stop off its run; the caller saves."""
    if stop.state in ("planned", "driving"):
        stop.state = "asked"
    stop.run, stop.trip, stop.position = None, 0, 0
    stop.arrives_from = stop.arrives_at = stop.arrives_to = stop.leaves_at = None


def clear_run_metrics(run: Run, because: CautionRow | None = None) -> None:
    """Clear the computed figures of a run whose order was changed by hand, and queue a new computation."""
    because = because or CautionRow.because("moved_by_hand", Reason("moved_by_hand"))
    run.cautions, run.margins, run.decks, run.legs = [to_json(because)], [], [], []
    run.save(update_fields=["cautions", "margins", "decks", "legs"])
    after_commit("dispatch.recompute_run", shop_id=run.shop_id, run_id=run.id)


@command(needs=Permission.DRIVE_RUNS, creates_row=True)
def open_run(*, actor: Actor, data: NewRun) -> Run:
    """Create a run by hand: a rig on a day, without stops."""
    refuse_known_id(Run, data.id)
    rig = row_for(Rig, actor, data.rig_id, field="rig_id")
    _refuse_past(data.day, today(shop_of(actor).zone))
    if not rig.active or rig.out_at is not None:
        raise Conflict(
            "rig_out", fields=[FieldError("rig_id", "rig_out", context={"name": rig.name})], context={"name": rig.name}
        )
    if queries.live_run(actor, rig.id, data.day) is not None:
        raise Conflict(
            "run_exists",
            fields=[FieldError("rig_id", "run_exists", context={"name": rig.name})],
            context={"name": rig.name},
        )
    run = Run.objects.create(
        id=data.id, shop_id=actor.shop_id, rig=rig, driver_id=rig.driver_id, day=data.day, state="planned"
    )
    record(actor, "run opened", ("run", run.id), day=data.day)
    return run


def _refuse_past(day: date, present: date) -> None:
    if day < present:
        raise Invalid("invalid", fields=[FieldError("day", "day_over")])


def _refuse_shut(run: Run, field: str) -> None:
    if run.state in ("done", "cancelled", "locked"):
        message = "run_locked" if run.state == "locked" else "run_shut"
        fault = FieldError(field, "run_shut", message=message, context={"state": run.state})
        raise Conflict("run_shut", reason=fault.reason, fields=[fault])


@command(needs=Permission.PLAN_RUNS)
def lock_run(*, actor: Actor, data: Target) -> Run:
    """Lock a run, so that neither plans nor people move its stops."""
    return _turn(actor, data, "locked")


@command(needs=Permission.PLAN_RUNS)
def unlock_run(*, actor: Actor, data: Target) -> Run:
    """Unlock a run."""
    return _turn(actor, data, "planned")


@command(needs=Permission.PLAN_RUNS)
def cancel_run(*, actor: Actor, data: Target) -> Run:
    """Cancel a run; its stops are to be planned again."""
    run = _turn(actor, data, "cancelled")
    for stop in queries.stops_of(run):
        if stop.state in ("planned", "driving"):
            take_off_run(stop)
            stop.save()
    return run


def _turn(actor: Actor, data: Target, state: RunState) -> Run:
    run = row_for(Run, actor, data.id)
    if run.state == state:
        return run
    if not run_may_become(run.state, state):
        fault = FieldError("id", "run_not_next", context={"state": run.state, "wanted": state})
        raise Conflict("run_not_next", reason=fault.reason, fields=[fault])
    run.state = state
    run.save(update_fields=["state"])
    record(actor, f"run {state}", ("run", run.id))
    return run


@command(needs=Permission.DRIVE_RUNS, rest_name="tell")
def tell_arrival(*, actor: Actor, data: ArrivalPromise) -> Stop:
    """Record the arrival interval that the customer was told, which plans keep."""
    stop = _open_stop(actor, data.id)
    if data.closes < data.opens:
        raise Invalid("invalid", fields=[FieldError("closes", "window_ends_first", message="interval_ends_first")])
    if stop.job is None:
        raise Conflict("stop_without_customer", fields=[FieldError("id", "stop_without_customer")])
    if data.channel != "by_hand":
        _write_to_customer(actor, stop, stop.job, data)
    stop.notified_from, stop.notified_to, stop.notified_at = data.opens, data.closes, now()
    stop.save(update_fields=["notified_from", "notified_to", "notified_at"])
    record(actor, "arrival told", ("stop", stop.id), opens=data.opens, closes=data.closes, channel=data.channel)
    return stop


def _write_to_customer(actor: Actor, stop: Stop, job: Job, data: ArrivalPromise) -> None:
    """Post the on-my-way message. Raises Invalid where the customer has no address for it."""
    shop, customer = shop_of(actor), job.customer
    address = customer.email if data.channel == "email" else customer.phone
    if not address:
        message = "address_missing" if data.channel == "email" else "phone_missing"
        fault = FieldError("channel", "address_missing", message=message, context={"name": customer.name})
        raise Invalid("invalid", fields=[fault])
    language = cast("Language", customer.language)
    figures = Figures(locale_for(shop.locale, language), shop.currency, shop.zone, language)
    post_notice(
        actor=actor,
        channel=data.channel,
        address=address,
        name=customer.person or customer.name,
        template="on_my_way",
        values={
            "customer": customer.person or customer.name,
            "shop": shop.name,
            "machine": job.machine.kind,
            "errand": TEXTS[language].say(f"errand_{stop.kind}", machine=job.machine.kind),
            "after": figures.time_of_day(data.opens),
            "before": figures.time_of_day(data.closes),
        },
        about=("stop", stop.id),
        dedupe_key=f"arrival/{stop.id}/{data.notice_id or actor.command_id or stop.notified_at}",
        language=language,
    )
