"""Reads of machines and meter readings."""

from django.db.models import QuerySet

from shopapi.core.actor import Actor
from shopapi.machines.models import Machine, MeterReading


def machines(actor: Actor) -> QuerySet[Machine]:
    return Machine.objects.filter(shop=actor.shop_id)


def meter_readings(actor: Actor) -> QuerySet[MeterReading]:
    return MeterReading.objects.filter(shop=actor.shop_id)
