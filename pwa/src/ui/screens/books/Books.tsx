import { useState } from 'preact/hooks'
import type { CountedTakings } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { books as t } from '../../../domain/words/books'
import { dayClose } from '../../../domain/words/dayClose'
import { paymentMethods } from '../../../domain/words/payments'
import { closedThrough, closings } from '../../../store/books'
import { Button } from '../../components/Button'
import { TextField } from '../../components/Field'
import { ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { memberName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { format, today } from '../../shopFormat'

const FILES = Object.keys(t.files) as (keyof typeof t.files)[]

/** Lists for the bookkeeper, the closed days, and the way to the accounts. */
export function Books() {
  const [days, setDays] = useState({ first: `${today().slice(0, 8)}01`, last: today() })
  const inOrder = days.first && days.last && days.first <= days.last
  return (
    <ShopPage title={t.title}>
      <Section title={t.lists}>
        <TextField
          type="date"
          label={t.first}
          value={days.first}
          onValueChange={(first) => setDays({ ...days, first })}
        />
        <TextField
          type="date"
          label={t.last}
          value={days.last}
          error={inOrder ? undefined : t.daysInOrder}
          onValueChange={(last) => setDays({ ...days, last })}
        />
        {inOrder &&
          FILES.map((file) => (
            <Button
              key={file}
              wide
              newTab
              label={t.files[file]}
              href={`/api/v1/reports/${file}?first=${days.first}&last=${days.last}`}
            />
          ))}
        <p class="hint">{t.listsHint}</p>
      </Section>
      <ClosedDays />
      <ListItem title={t.accounts} details={t.accountsHint} to={{ at: 'accounts' }} />
    </ShopPage>
  )
}

/** What was counted when a day was closed, where it was not what was expected. */
function countedText({ method, expected_minor, counted_minor }: CountedTakings): string {
  const off = counted_minor - expected_minor
  const { money } = format.value
  if (!off) return ''
  return `${paymentMethods[method]} ${off > 0 ? dayClose.over(money(off)) : dayClose.short(money(-off))}`
}

function ClosedDays() {
  const through = closedThrough()
  const earlier = closings().slice(0, 6)
  const { day } = format.value
  return (
    <Section title={t.closed}>
      <p class="multiline">
        <b>{through ? t.closedThrough(day(through)) : t.noneClosed}</b>
      </p>
      <p class="hint">{t.closedHint}</p>
      <ListItem title={dayClose.title} details={dayClose.hint} to={{ at: 'day-close' }} />
      <ListItem title={t.close} to={{ at: 'close-days' }} />
      {earlier.length > 0 && (
        <ul class="list" aria-label={t.earlier}>
          {earlier.map((row) => (
            <li key={row.id} class="multiline">
              {t.closedOn(t.closedThrough(day(row.closed_through)), memberName(row.member_id ?? ''))}{' '}
              {en.app.joined([...row.counted.map(countedText), row.note])}
            </li>
          ))}
        </ul>
      )}
    </Section>
  )
}
