from django.contrib import admin

from shopapi.core.backstage import Table
from shopapi.dispatch.models import CalendarFeed, DrivenLeg, HandOver, PlanRequest, Printout, Rig, Run, Stop, Yard


@admin.register(Yard)
class YardTable(Table):
    list_display = ("lat", "lon", "opens", "closes", "learned")


@admin.register(Rig)
class RigTable(Table):
    list_display = ("name", "driver", "payload_kg", "active", "out_at")
    list_select_related = ("driver",)


@admin.register(Run)
class RunTable(Table):
    list_display = ("day", "rig", "driver", "state", "leaves_at", "home_at", "metres")
    list_select_related = ("rig", "driver")
    list_filter = ("state",)


@admin.register(Stop)
class StopTable(Table):
    list_display = ("kind", "job", "site", "state", "run", "arrives_at", "arrived_at", "left_at", "failure")
    list_select_related = ("job", "site", "run")
    list_filter = ("kind", "state", "failure")


@admin.register(HandOver)
class HandOverTable(Table):
    list_display = ("at", "kind", "job", "member", "meter_doubt", "matches")
    list_select_related = ("job", "member")


@admin.register(DrivenLeg)
class DrivenLegTable(Table):
    list_display = ("left_at", "stop", "seconds")
    list_select_related = ("stop",)


@admin.register(PlanRequest)
class PlanRequestTable(Table):
    list_display = ("created_at", "days", "cause", "state", "permille", "error", "taken_at")
    list_filter = ("state", "cause")


@admin.register(Printout)
class PrintoutTable(Table):
    list_display = ("created_at", "kind", "run", "state", "reason")
    list_filter = ("kind", "state")


@admin.register(CalendarFeed)
class CalendarFeedTable(Table):
    list_display = ("member", "created_at", "revoked_at")
    list_select_related = ("member",)
