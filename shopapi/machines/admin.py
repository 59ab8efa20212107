from django.contrib import admin

from shopapi.core.backstage import Table
from shopapi.machines.models import Machine, MeterReading


@admin.register(Machine)
class MachineTable(Table):
    list_display = ("kind", "make", "model", "serial", "customer", "archived")
    list_select_related = ("customer",)
    search_fields = ("make", "model", "serial", "engine_serial", "tag")


@admin.register(MeterReading)
class MeterReadingTable(Table):
    list_display = ("machine", "segment", "hours", "read_on", "noted_by")
    list_select_related = ("machine", "noted_by")
