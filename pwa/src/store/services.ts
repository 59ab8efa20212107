import type { Command, Machine, ServiceRecord, SheetEntry, Shop } from '../domain/contract'
import { STARTING_CALENDAR } from '../domain/contract'
import { machineUse, nextService, type ServiceForecast, seasonStart } from '../domain/machines/nextService'
import { type MeterPoint, monthShares, useRates } from '../domain/machines/season'
import { plainName } from '../domain/machines/sheetMatching'
import type { Day } from '../domain/time'
import { newId } from './browser/clock'
import { knownMachines, metersOf } from './machines'
import { enqueueAll } from './queue/outbox'
import { ownedBy } from './rows/selectors'
import { entriesOf, sheetsFor } from './sheets'

/** A service of a machine: its entry on a sheet, when it was last done, and the forecast of the next. */
export interface MachineService {
  entry: SheetEntry
  last: ServiceRecord | undefined
  forecast: ServiceForecast | null
}

/** The day on which the shop's next season begins. */
export const nextSeason = (shop: Shop | undefined, today: Day): Day =>
  seasonStart(today, shop?.calendar.season_from ?? STARTING_CALENDAR.season_from)

/** The services known of a machine, each once. Twin: `services_of_machines` in `shopapi/machines/queries.py`. */
export function servicesOf(machine: Machine, byDay: Day, alike = useOfKind(machine.kind)): MachineService[] {
  const entries = new Map<string, SheetEntry>()
  for (const { sheet, fit } of sheetsFor(machine))
    for (const entry of fit === 'own' ? entriesOf(sheet.id) : []) {
      const key = plainName(entry.words)
      if (entry.kind === 'service' && !entries.has(key)) entries.set(key, entry)
    }
  if (!entries.size) return []
  const { shares, rates } = alike()
  const use = machineUse(pointsOf(machine.id), shares, rates)
  const records = ownedBy('service_record', 'machine_id', machine.id)
  return [...entries].map(([key, entry]) => {
    const last = records
      .filter(({ what }) => plainName(what) === key)
      .sort((a, b) => (a.done_on < b.done_on ? 1 : -1))[0]
    const interval = { hours: entry.hours === null ? null : Number(entry.hours), months: entry.months }
    return { entry, last, forecast: last ? nextService(interval, last.done_on, use, byDay) : null }
  })
}

/** The services of all machines that are not archived; what machines of a kind share is worked out once. */
export function allServices(byDay: Day): { machine: Machine; service: MachineService }[] {
  const kinds = new Map<string, () => KindUse>()
  const machines = knownMachines().filter(({ archived }) => !archived)
  return machines.flatMap((machine) => {
    const kind = plainName(machine.kind)
    const alike = kinds.get(kind) ?? once(useOfKind(machine.kind))
    kinds.set(kind, alike)
    return servicesOf(machine, byDay, alike).map((service) => ({ machine, service }))
  })
}

interface KindUse {
  shares: ReturnType<typeof monthShares>
  rates: ReturnType<typeof useRates>
}

function once<Value>(make: () => Value): () => Value {
  let made: { value: Value } | undefined
  return () => {
    made ??= { value: make() }
    return made.value
  }
}

/** How machines of a kind are used: their shares of the months, and how fast their meters go. */
const useOfKind = (kind: string) => (): KindUse => {
  const named = plainName(kind)
  const alike = knownMachines()
    .filter((one) => !one.archived && plainName(one.kind) === named)
    .map((one) => pointsOf(one.id))
    .filter((readings) => readings.length)
  const shares = monthShares(alike)
  return { shares, rates: useRates(alike, shares) }
}

const pointsOf = (machine_id: string): MeterPoint[] =>
  metersOf(machine_id).map(({ segment, read_on, hours }) => ({ segment, day: read_on, hours: Number(hours) }))

/** Records a service, with the hours on the meter that day as a reading, if known. */
export function recordService(
  machine_id: string,
  { what, done_on, hours }: { what: string; done_on: Day; hours: string | null },
) {
  const commands: Command[] = [{ name: 'record_service', args: { id: newId(), machine_id, what, done_on } }]
  if (hours !== null)
    commands.push({ name: 'record_meter', args: { id: newId(), machine_id, hours, read_on: done_on } })
  return enqueueAll(commands)
}
