"""Reads of rigs, runs, stops, hand-overs and plannings."""

from datetime import date
from typing import TypeVar
from uuid import UUID

from django.db import models
from django.db.models import QuerySet

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.errors import NotFound
from shopapi.core.shape import Row, decode, plain
from shopapi.dispatch.models import CalendarFeed, DrivenLeg, HandOver, PlanRequest, Printout, Rig, Run, Stop, Yard
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
from shopapi.dispatch.rules.states import LIVE_RUNS, OPEN_STOPS

M = TypeVar("M", bound=models.Model)


def yards(actor: Actor) -> QuerySet[Yard]:
    return Yard.objects.filter(shop=actor.shop_id)


def rigs(actor: Actor) -> QuerySet[Rig]:
    return Rig.objects.filter(shop=actor.shop_id)


def runs(actor: Actor) -> QuerySet[Run]:
    return Run.objects.filter(shop=actor.shop_id)


def stops(actor: Actor) -> QuerySet[Stop]:
    return Stop.objects.filter(shop=actor.shop_id)


def hand_overs(actor: Actor) -> QuerySet[HandOver]:
    return HandOver.objects.filter(shop=actor.shop_id)


def plans(actor: Actor) -> QuerySet[PlanRequest]:
    return PlanRequest.objects.filter(shop=actor.shop_id)


def printouts(actor: Actor) -> QuerySet[Printout]:
    return Printout.objects.filter(shop=actor.shop_id)


def legs(actor: Actor) -> QuerySet[DrivenLeg]:
    return DrivenLeg.objects.filter(shop=actor.shop_id)


def calendars(actor: Actor) -> QuerySet[CalendarFeed]:
    """One's own; everybody's for whoever manages members."""
    found = CalendarFeed.objects.filter(shop=actor.shop_id)
    return found if actor.may(Permission.MANAGE_MEMBERS) else found.filter(member=actor.member_id)


def _locked(rows: QuerySet[M], kind: str, row_id: UUID, field: str) -> M:
    found = rows.select_for_update().filter(pk=row_id).first()
    if found is None:
        raise NotFound(kind, row_id, field=field)
    return found


def yard_for(actor: Actor, yard_id: UUID, *, field: str = "id") -> Yard:
    """The yard, locked. Raises NotFound; so do its like below."""
    return _locked(yards(actor), "yard", yard_id, field)


def rig_for(actor: Actor, rig_id: UUID, *, field: str = "id") -> Rig:
    return _locked(rigs(actor), "rig", rig_id, field)


def run_for(actor: Actor, run_id: UUID, *, field: str = "id") -> Run:
    return _locked(runs(actor), "run", run_id, field)


def hand_over_for(actor: Actor, hand_over_id: UUID, *, field: str = "id") -> HandOver:
    """Without a lock: a hand-over is never changed, and the application may not."""
    found = hand_overs(actor).filter(id=hand_over_id).first()
    if found is None:
        raise NotFound("hand_over", hand_over_id, field=field)
    return found


def stop_for(actor: Actor, stop_id: UUID, *, field: str = "id") -> Stop:
    return _locked(stops(actor), "stop", stop_id, field)


def plan_for(actor: Actor, plan_id: UUID, *, field: str = "id") -> PlanRequest:
    return _locked(plans(actor), "plan_request", plan_id, field)


def calendar_for(actor: Actor, feed_id: UUID, *, field: str = "id") -> CalendarFeed:
    return _locked(calendars(actor), "calendar_feed", feed_id, field)


def live_run(actor: Actor, rig_id: UUID, day: date) -> Run | None:
    """The run of a rig on a day that is ahead or under way."""
    return runs(actor).filter(rig=rig_id, day=day, state__in=LIVE_RUNS).first()


def drives(actor: Actor, member_id: UUID, day: date) -> bool:
    """Whether a member drives a run of a day that is ahead or under way."""
    return runs(actor).filter(driver=member_id, day=day, state__in=LIVE_RUNS).exists()


def stops_of(run: Run) -> list[Stop]:
    """Every stop that names the run, in their order."""
    return list(Stop.objects.filter(shop=run.shop_id, run=run).order_by("trip", "position", "id"))


def runs_of_member(shop_id: UUID, member_id: UUID, *, since: date) -> list[tuple[Run, list[Stop]]]:
    """A member's runs from a day on with their stops in order. The caller sees the shop."""
    runs = list(
        Run.objects.filter(shop=shop_id, driver=member_id, day__gte=since).select_related("rig").order_by("day", "id")
    )
    stops: dict[UUID, list[Stop]] = {run.id: [] for run in runs}
    related = Stop.objects.filter(shop=shop_id, run__in=runs).select_related("job__machine", "site")
    for stop in related.order_by("trip", "position", "id"):
        if stop.run_id is not None:
            stops[stop.run_id].append(stop)
    return [(run, stops[run.id]) for run in runs]


def open_stops(actor: Actor) -> QuerySet[Stop]:
    """Where somebody still has to go."""
    return stops(actor).filter(state__in=OPEN_STOPS)


def show_yard(actor: Actor, yard: Yard) -> YardRow:
    return _shown(YardRow, yard)


def show_rig(actor: Actor, rig: Rig) -> RigRow:
    return _shown(RigRow, rig)


def show_run(actor: Actor, run: Run) -> RunRow:
    return _shown(RunRow, run)


def show_stop(actor: Actor, stop: Stop) -> StopRow:
    return _shown(StopRow, stop)


def show_hand_over(actor: Actor, hand_over: HandOver) -> HandOverRow:
    return _shown(HandOverRow, hand_over)


def show_plan(actor: Actor, plan: PlanRequest) -> PlanRequestRow:
    return _shown(PlanRequestRow, plan)


def show_printout(actor: Actor, printout: Printout) -> PrintoutRow:
    return _shown(PrintoutRow, printout)


def show_calendar(actor: Actor, feed: CalendarFeed) -> CalendarFeedRow:
    return _shown(CalendarFeedRow, feed)


R = TypeVar("R", bound=Row)


def _shown(shape: type[R], row: models.Model) -> R:
    """A row whose nested values are kept as plain JSON, and so are read as such."""
    return decode(shape, {name: plain(getattr(row, name)) for name in shape.model_fields})
