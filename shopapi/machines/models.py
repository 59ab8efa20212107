"""Machines, readings of their hour meters, services done, and sheets: what the shop knows of a kind of machine."""

from django.db import models

from shopapi.accounts.models import Member, ShopForeignKey, ShopOwned
from shopapi.core.enums import choices_of
from shopapi.core.fields import personal
from shopapi.core.quantities import Quantity
from shopapi.customers.models import Customer
from shopapi.machines.rules.sheets import SheetEntryKind


class Machine(ShopOwned):
    """One machine of one customer. Its serial is not its engine's serial.

    Its size is that of the machine in transport; null where not entered. Each measure has its typed text in a column of
    its own (`core.units`).
    """

    customer = ShopForeignKey(Customer, related_name="machines")
    kind = models.CharField(max_length=120)
    make = models.CharField(max_length=120, default="", blank=True)
    model = models.CharField(max_length=120, default="", blank=True)
    serial = models.CharField(max_length=120, default="", blank=True)
    year = models.PositiveSmallIntegerField(null=True, blank=True)
    engine_make = models.CharField(max_length=120, default="", blank=True)
    engine_model = models.CharField(max_length=120, default="", blank=True)
    engine_serial = models.CharField(max_length=120, default="", blank=True)
    tag = models.CharField(max_length=120, default="", blank=True)
    notes = personal(models.TextField(default="", blank=True))
    archived = models.BooleanField(default=False)
    mass_kg = models.PositiveIntegerField(null=True, blank=True)
    mass_typed = models.CharField(max_length=20, default="", blank=True)
    length_cm = models.PositiveIntegerField(null=True, blank=True)
    length_typed = models.CharField(max_length=20, default="", blank=True)
    width_cm = models.PositiveIntegerField(null=True, blank=True)
    width_typed = models.CharField(max_length=20, default="", blank=True)
    height_cm = models.PositiveIntegerField(null=True, blank=True)
    height_typed = models.CharField(max_length=20, default="", blank=True)
    wheelbase_cm = models.PositiveIntegerField(null=True, blank=True)
    wheelbase_typed = models.CharField(max_length=20, default="", blank=True)
    clearance_cm = models.PositiveIntegerField(null=True, blank=True)
    clearance_typed = models.CharField(max_length=20, default="", blank=True)
    tie_points = models.PositiveSmallIntegerField(null=True, blank=True)

    def __str__(self) -> str:
        return " ".join(part for part in (self.kind, self.make, self.model) if part)


class MeterReading(ShopOwned):
    """An hour meter as read. A replaced meter begins a new segment; readings are append-only."""

    append_only = True

    machine = ShopForeignKey(Machine, related_name="readings")
    segment = models.PositiveIntegerField(default=1)
    hours = models.DecimalField(max_digits=8, decimal_places=2)
    read_on = models.DateField()
    noted_by = ShopForeignKey(Member, related_name="+", null=True)

    class Meta:
        constraints = (models.CheckConstraint(name="meter_hours_are_not_negative", condition=models.Q(hours__gte=0)),)


class Sheet(ShopOwned):
    """What the shop knows of a kind of machine or engine. An empty name of what it is for fits every machine."""

    title = models.CharField(max_length=120)
    kind = models.CharField(max_length=120, default="", blank=True)
    make = models.CharField(max_length=120, default="", blank=True)
    model = models.CharField(max_length=120, default="", blank=True)
    engine_make = models.CharField(max_length=120, default="", blank=True)
    engine_model = models.CharField(max_length=120, default="", blank=True)
    family = models.CharField(max_length=120, default="", blank=True)
    serial_from = models.CharField(max_length=120, default="", blank=True)
    serial_to = models.CharField(max_length=120, default="", blank=True)
    notes = models.TextField(default="", blank=True)
    archived = models.BooleanField(default=False)

    def __str__(self) -> str:
        return self.title


class Limit(ShopOwned):
    """What a measured value has to be. The figures are as typed, in `unit`; each edit raises `version`.

    A reading keeps a copy of the limit as it was (`rules.limits.limit_snapshot`): a change here leaves it alone.
    """

    sheet = ShopForeignKey(Sheet, related_name="limits")
    what = models.CharField(max_length=120)
    quantity = models.CharField(max_length=11, choices=choices_of(Quantity))
    unit = models.CharField(max_length=12)
    nominal = models.CharField(max_length=17, default="", blank=True)
    tolerance = models.CharField(max_length=17, default="", blank=True)
    low = models.CharField(max_length=17, default="", blank=True)
    high = models.CharField(max_length=17, default="", blank=True)
    condition = models.CharField(max_length=120, default="", blank=True)
    manual = models.CharField(max_length=120, default="", blank=True)
    page = models.CharField(max_length=120, default="", blank=True)
    critical = models.BooleanField(default=False)
    version = models.PositiveIntegerField(default=1)
    machine = ShopForeignKey(Machine, related_name="+", null=True)
    job_mark = models.CharField(max_length=120, default="", blank=True)

    def __str__(self) -> str:
        return self.what


class SheetEntry(ShopOwned):
    """Something else on a sheet: a fastener, an operation, a service, a note, a warning, a lesson, or a put-back order.

    Which fields it has besides `words` depends on its kind (`rules.sheets.ENTRY_FIELDS`).
    """

    sheet = ShopForeignKey(Sheet, related_name="entries")
    kind = models.CharField(max_length=9, choices=choices_of(SheetEntryKind))
    words = models.TextField(default="", blank=True)
    thread = models.CharField(max_length=120, default="", blank=True)
    length = models.CharField(max_length=120, default="", blank=True)
    head = models.CharField(max_length=120, default="", blank=True)
    count = models.PositiveSmallIntegerField(null=True, blank=True)
    torque = models.CharField(max_length=17, default="", blank=True)
    torque_unit = models.CharField(max_length=12, default="", blank=True)
    one_use = models.BooleanField(default=False)
    thread_locker = models.CharField(max_length=120, default="", blank=True)
    hours = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    months = models.PositiveSmallIntegerField(null=True, blank=True)
    first = models.CharField(max_length=120, default="", blank=True)
    second = models.CharField(max_length=120, default="", blank=True)
    machine = ShopForeignKey(Machine, related_name="+", null=True)
    job_mark = models.CharField(max_length=120, default="", blank=True)


class ServiceRecord(ShopOwned):
    """A service done on a machine: `what` as its entry on a sheet says. Append-only."""

    append_only = True

    machine = ShopForeignKey(Machine, related_name="services")
    what = models.CharField(max_length=120)
    done_on = models.DateField()
    job_mark = models.CharField(max_length=120, default="", blank=True)
    noted_by = ShopForeignKey(Member, related_name="+", null=True)

    def __str__(self) -> str:
        return f"{self.what}, {self.done_on}"
