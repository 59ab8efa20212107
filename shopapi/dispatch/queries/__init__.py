"""Reads of rigs, runs, stops, hand-overs and plan requests."""

from datetime import date
from typing import Any, TypeVar
from uuid import UUID

from django.db import models
from django.db.models import Exists, OuterRef, QuerySet, Subquery

from shopapi.accounts.models import Device
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.schema import Row, parse, to_json
from shopapi.dispatch.models import CalendarFeed, DrivenLeg, PlanRequest, Printout, Rig, Run, Stop, Yard
from shopapi.dispatch.rules.schemas.calendar_feed import CalendarFeedRow
from shopapi.dispatch.rules.states import LIVE_RUNS


def yards(actor: Actor) -> QuerySet[Yard]:
    return Yard.objects.filter(shop=actor.shop_id)


def rigs(actor: Actor) -> QuerySet[Rig]:
    return Rig.objects.filter(shop=actor.shop_id)


def runs(actor: Actor) -> QuerySet[Run]:
    return Run.objects.filter(shop=actor.shop_id)


def stops(actor: Actor) -> QuerySet[Stop]:
    return Stop.objects.filter(shop=actor.shop_id)


def plans(actor: Actor) -> QuerySet[PlanRequest]:
    return PlanRequest.objects.filter(shop=actor.shop_id)


def unfinished_plans(actor: Actor) -> QuerySet[PlanRequest]:
    """The plans that wait for a worker or are being made."""
    return plans(actor).filter(state__in=["waiting", "running"])


def printouts(actor: Actor) -> QuerySet[Printout]:
    return Printout.objects.filter(shop=actor.shop_id)


def legs(actor: Actor) -> QuerySet[DrivenLeg]:
    return DrivenLeg.objects.filter(shop=actor.shop_id)


def calendars(actor: Actor) -> QuerySet[CalendarFeed]:
    """The actor's own feeds, or everybody's for members who manage members, with the sign-off that closed each."""
    found = CalendarFeed.objects.filter(shop=actor.shop_id).annotate(signed_off_at=Subquery(_sign_offs()))
    return found if actor.may(Permission.MANAGE_MEMBERS) else found.filter(member=actor.member_id)


def live_run(actor: Actor, rig_id: UUID, day: date) -> Run | None:
    """The planned or driving run of a rig on a day."""
    return runs(actor).filter(rig=rig_id, day=day, state__in=LIVE_RUNS).first()


def drives(actor: Actor, member_id: UUID, day: date) -> bool:
    """Whether a member drives a planned or driving run of a day."""
    return runs(actor).filter(driver=member_id, day=day, state__in=LIVE_RUNS).exists()


def stops_of(run: Run) -> list[Stop]:
    """The stops of a run, in order."""
    return list(Stop.objects.filter(shop=run.shop_id, run=run).order_by("trip", "position", "id"))


def runs_of_member(shop_id: UUID, member_id: UUID, *, since: date) -> list[tuple[Run, list[Stop]]]:
    """A member's runs from a day on with their stops in order. The caller has set the shop for row-level security."""
    runs = list(
        Run.objects.filter(shop=shop_id, driver=member_id, day__gte=since).select_related("rig").order_by("day", "id")
    )
    stops: dict[UUID, list[Stop]] = {run.id: [] for run in runs}
    related = Stop.objects.filter(shop=shop_id, run__in=runs).select_related("job__machine", "site", "supplier")
    for stop in related.order_by("trip", "position", "id"):
        if stop.run_id is not None:
            stops[stop.run_id].append(stop)
    return [(run, stops[run.id]) for run in runs]


def show_calendar(actor: Actor, feed: CalendarFeed) -> CalendarFeedRow:
    # A feed that was just created has no annotation yet, since it was not closed.
    closed_at = feed.revoked_at or vars(feed).get("signed_off_at")
    return _shown(CalendarFeedRow, feed).model_copy(update={"revoked_at": closed_at})


def is_shut(feed: CalendarFeed) -> bool:
    """Whether a feed was closed by hand, or any device of its member was signed off since it was opened.

    The address can be read on each phone of the member, so signing off any of them closes it.
    """
    found = CalendarFeed.objects.filter(shop=feed.shop_id, id=feed.id)
    return feed.revoked_at is not None or found.filter(Exists(_sign_offs())).exists()


def _sign_offs() -> QuerySet[Any, Any]:
    devices = Device.objects.filter(shop=OuterRef("shop"), member=OuterRef("member"))
    since = devices.filter(revoked_at__gte=OuterRef("created_at"))
    return since.order_by("revoked_at").values("revoked_at")[:1]


R = TypeVar("R", bound=Row)


def _shown(schema: type[R], row: models.Model) -> R:
    """A row whose nested values are stored as plain JSON and are parsed from it."""
    return parse(schema, {name: to_json(getattr(row, name)) for name in schema.model_fields})
