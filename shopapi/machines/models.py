"""Machines and readings of their hour meters."""

from django.db import models

from shopapi.accounts.models import Member, ShopForeignKey, ShopOwned
from shopapi.core.fields import personal
from shopapi.customers.models import Customer


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
