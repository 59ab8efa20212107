"""Gauges of the shop."""

from django.db import models

from shopapi.accounts.models import ShopOwned
from shopapi.bench.rules.gauges import GaugeKind
from shopapi.core.enums import choices_of
from shopapi.core.quantities import Quantity


class Gauge(ShopOwned):
    """An instrument. Readings copy it, so it is archived and not removed. Figures are as typed, in its unit."""

    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=10, default=GaugeKind.MEASURING, choices=choices_of(GaugeKind))
    quantity = models.CharField(max_length=20, choices=choices_of(Quantity))
    unit = models.CharField(max_length=20)
    resolution = models.CharField(max_length=20, default="", blank=True)
    uncertainty = models.CharField(max_length=20)
    blades = models.JSONField(default=list, blank=True)
    calibrated_on = models.DateField(null=True, blank=True)
    notes = models.CharField(max_length=120, default="", blank=True)
    archived = models.BooleanField(default=False)

    def __str__(self) -> str:
        return self.name
