"""Gauges: their only writer."""

from shopapi.accounts.rules import Permission
from shopapi.bench.models import Gauge
from shopapi.bench.rules.gauges import GaugeFields, NewGauge, gauge_faults
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.commands import command
from shopapi.core.edits import edit_row, edited
from shopapi.core.errors import refuse_faults
from shopapi.core.rows import refuse_known_id, row_for
from shopapi.core.schema import Edit


@command(needs=Permission.WORK_JOBS, creates_row=True)
def add_gauge(*, actor: Actor, data: NewGauge) -> Gauge:
    """Add a gauge with its unit and its uncertainty."""
    refuse_known_id(Gauge, data.id)
    refuse_faults(gauge_faults(data))
    gauge = Gauge.objects.create(shop_id=actor.shop_id, **data.model_dump())
    record(actor, "gauge added", ("gauge", gauge.id), name=gauge.name)
    return gauge


@command(needs=Permission.WORK_JOBS)
def edit_gauge(*, actor: Actor, data: Edit[GaugeFields]) -> Gauge:
    """Edit a gauge; readings made with it keep it as it was."""
    gauge = row_for(Gauge, actor, data.id)
    refuse_faults(gauge_faults(edited(gauge, data)))
    return edit_row(
        actor=actor, kind="gauge", row=gauge, edit=data, together=("quantity", "unit", "resolution", "uncertainty")
    )
