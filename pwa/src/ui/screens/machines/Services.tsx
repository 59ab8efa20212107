import type { Machine } from '../../../domain/contract'
import { services as t } from '../../../domain/words/services'
import { type MachineService, nextSeason, servicesOf } from '../../../store/services'
import { shop } from '../../../store/shop'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { serviceText } from '../../features/sheets/sheetText'
import { format, today } from '../../shopFormat'

/** When each service of a machine is due, the next one first, and why. */
export function Services({ row }: { row: Machine }) {
  const season = nextSeason(shop.value, today())
  const known = servicesOf(row, season).sort((a, b) => (dueOf(a) < dueOf(b) ? -1 : 1))
  return (
    <Section title={t.title} end={known.length || undefined}>
      <List items={known} keyOf={({ entry }) => entry.id} empty={t.none}>
        {(service) => (
          <ListItem
            title={`${service.entry.words}, ${serviceText(service.entry)}`}
            value={dueText(service)}
            details={detailsOf(service, season)}
            to={{ at: 'machine-service', id: row.id, entryId: service.entry.id }}
          />
        )}
      </List>
      <ButtonRow stacked>
        <Button wide label={t.record} to={{ at: 'machine-service', id: row.id }} />
      </ButtonRow>
    </Section>
  )
}

const dueOf = ({ forecast }: MachineService) => forecast?.due_on ?? '9999-12-31'

function dueText({ forecast }: MachineService): string {
  if (!forecast?.due_on) return ''
  return forecast.due_on <= today() ? t.now : t.due(format.value.day(forecast.due_on))
}

function detailsOf({ entry, last, forecast }: MachineService, season: string): string {
  if (!last || !forecast) return t.never
  const { due_on, by, basis, earliest, latest, used, chance } = forecast
  const day = (at: string) => format.value.day(at)
  const range = by === 'hours' && earliest && earliest > today()
  const parts = [
    due_on ? t.why[by === 'months' && basis !== 'meter_falls' ? 'months' : basis] : t.unknown,
    range && (latest ? t.between(day(earliest), day(latest)) : t.from(day(earliest))),
    used !== null &&
      entry.hours &&
      t.used(format.value.number(used.toFixed(1)), format.value.number(entry.hours)),
    t.last(day(last.done_on)),
    chance !== null && due_on && due_on > today() && t.season(percent(chance), day(season)),
  ]
  return parts.filter(Boolean).join(' · ')
}

const percent = (chance: number) => format.value.percent(String(Math.round(chance * 100)))
