"""Reads of machines and meter readings, and when their services are due."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import Max, QuerySet

from shopapi.core.actor import Actor
from shopapi.machines.models import Machine, MeterReading, ServiceRecord, SheetEntry
from shopapi.machines.rules.next_service import Interval, NextService, Use, next_service, use_of
from shopapi.machines.rules.season import HoursReading, month_shares, use_rates
from shopapi.machines.rules.sheet_matching import SheetFit, match_sheets, plain_name
from shopapi.machines.rules.sheets import SheetEntryKind


def machines(actor: Actor) -> QuerySet[Machine]:
    return Machine.objects.filter(shop=actor.shop_id)


def meter_readings(actor: Actor) -> QuerySet[MeterReading]:
    return MeterReading.objects.filter(shop=actor.shop_id)


@dataclass(frozen=True)
class DueService:
    """A service of one machine: its entry on a sheet, when it was last done, the forecast of the next."""

    machine: Machine
    entry: SheetEntry
    done_on: date
    forecast: NextService


def services_of_machines(actor: Actor, by_day: date, machine_ids: Collection[UUID] | None = None) -> list[DueService]:
    """The forecast of each service that is known of a machine and was done before; `by_day`: see `next_service`.

    `machine_ids`: of these machines alone; read are then the machines of their kinds and no others.
    Twin: `pwa/src/store/services.ts`.
    """
    entries = SheetEntry.objects.filter(shop=actor.shop_id, kind=SheetEntryKind.SERVICE, sheet__archived=False)
    by_sheet: dict[UUID, list[SheetEntry]] = defaultdict(list)
    for entry in entries.select_related("sheet").order_by("created_at", "id"):
        by_sheet[entry.sheet_id].append(entry)
    done = _last_done(actor, machine_ids)
    if not by_sheet or not done:
        return []
    wanted = {machine_id for machine_id, _ in done}
    known = list(_machines_like(actor, wanted).select_related("customer"))
    readings = _readings_by_machine(actor, known)
    uses = _uses(known, readings, wanted)
    sheets = [theirs[0].sheet for theirs in by_sheet.values()]
    found = []
    for machine in known:
        if machine.id not in uses:
            continue
        own = [match.index for match in match_sheets(machine, sheets) if match.fit is SheetFit.OWN]
        for key, entry in _first_of_each(entry for index in own for entry in by_sheet[sheets[index].id]).items():
            if last := done.get((machine.id, key)):
                interval = Interval(None if entry.hours is None else float(entry.hours), entry.months)
                forecast = next_service(interval, last, uses[machine.id], by_day)
                found.append(DueService(machine, entry, last, forecast))
    return found


def _machines_like(actor: Actor, machine_ids: Collection[UUID]) -> QuerySet[Machine]:
    """The machines of the kinds of some."""
    here = machines(actor).filter(archived=False, customer__archived=False)
    kinds = {plain_name(kind) for kind in here.filter(id__in=machine_ids).values_list("kind", flat=True)}
    spelled = [kind for kind in here.values_list("kind", flat=True).distinct() if plain_name(kind) in kinds]
    return here.filter(kind__in=spelled)


def _first_of_each(entries: Iterable[SheetEntry]) -> dict[str, SheetEntry]:
    """By what is done; of several sheets that name it, the one that says most of the machine."""
    found: dict[str, SheetEntry] = {}
    for entry in entries:
        found.setdefault(plain_name(entry.words), entry)
    return found


def _last_done(actor: Actor, machine_ids: Collection[UUID] | None) -> dict[tuple[UUID, str], date]:
    records = ServiceRecord.objects.filter(shop=actor.shop_id)
    if machine_ids is not None:
        records = records.filter(machine__in=machine_ids)
    rows = records.values_list("machine_id", "what").annotate(Max("done_on"))
    found: dict[tuple[UUID, str], date] = {}
    for machine_id, what, last in rows:
        key = (machine_id, plain_name(what))
        found[key] = max(last, found.get(key, last))
    return found


def _readings_by_machine(actor: Actor, known: Collection[Machine]) -> dict[UUID, list[HoursReading]]:
    found: dict[UUID, list[HoursReading]] = defaultdict(list)
    rows = meter_readings(actor).filter(machine__in=[machine.id for machine in known])
    for machine_id, segment, day, hours in rows.values_list("machine_id", "segment", "read_on", "hours"):
        found[machine_id].append(HoursReading(segment, day, float(hours)))
    return found


def _uses(
    known: Iterable[Machine], readings: Mapping[UUID, list[HoursReading]], wanted: set[UUID]
) -> dict[UUID, Use | None]:
    """How each wanted machine is used, with the months and rates of the machines of its kind."""
    by_kind: dict[str, list[Machine]] = defaultdict(list)
    for machine in known:
        by_kind[plain_name(machine.kind)].append(machine)
    found: dict[UUID, Use | None] = {}
    for alike in by_kind.values():
        if not any(machine.id in wanted for machine in alike):
            continue
        theirs = [readings[machine.id] for machine in alike if machine.id in readings]
        shares = month_shares(theirs)
        rates = use_rates(theirs, shares)
        for machine in alike:
            if machine.id in wanted:
                found[machine.id] = use_of(readings.get(machine.id, ()), shares, rates)
    return found
