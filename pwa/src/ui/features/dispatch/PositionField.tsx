import { useState } from 'preact/hooks'
import type { PositionSource } from '../../../domain/contract'
import { pairWords, positionOf, readPosition } from '../../../domain/geo/places'
import { en } from '../../../domain/words'
import { customer, knownSites } from '../../../store/customers'
import { yard } from '../../../store/dispatch'
import { session } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { LocationMap } from '../../components/LocationMap'
import { locateHere } from './locateHere'
import { sureness } from './positionText'

const t = en.dispatch.place
/** Enough sites for orientation. */
const SHOWN = 12

interface Props {
  value: string
  error?: string | undefined
  label?: string
  hint?: string
  /** Whence the position comes, and how sure it is, where that is stored. */
  source?: PositionSource
  within?: number | null
  onValueChange: (value: string, source: PositionSource, within: number | null) => void
}

/** A position: pasted, from the phone's location, or by a tap on a map of known sites. */
export function PositionField({
  value,
  error,
  label = t.label,
  hint = t.hint,
  source = '',
  within = null,
  onValueChange,
}: Props) {
  const [status, setStatus] = useState('')
  const [pointing, setPointing] = useState(false)
  const here = readPosition(value)
  const home = positionOf(yard.value)
  const known = knownMarks()
  const marks = here ? [...known, { key: 'here', position: here, label: '×' }] : known

  async function locate() {
    setStatus(t.looking)
    const found = await locateHere()
    setStatus(found ? '' : t.noHere)
    if (found) onValueChange(pairWords(found), 'here', found.withinM)
  }
  return (
    <>
      <TextField
        label={label}
        hint={hint}
        value={value}
        error={error}
        autocapitalize="off"
        onValueChange={(typed) => {
          setStatus('')
          onValueChange(typed, '', null)
        }}
      />
      <ButtonRow>
        <Button label={t.here} onPress={() => void locate()} />
        {(home || known.length > 0) && (
          <Button label={t.onMap} pressed={pointing} onPress={() => setPointing(!pointing)} />
        )}
      </ButtonRow>
      <p role="status">{status || (value && sureness(source, within))}</p>
      {pointing && (
        <LocationMap
          label={t.mapWords(marks.length)}
          yard={home}
          yardLabel={en.dispatch.run.yard}
          markers={marks}
          leftOut={t.leftOut}
          tiles={session.value.tiles}
          onPick={(position, withinM) => onValueChange(pairWords(position), 'map', withinM)}
        />
      )}
    </>
  )
}

/** Known sites for orientation, each labeled with the initials of its customer. */
function knownMarks() {
  const marks = knownSites().flatMap((row) => {
    const position = positionOf(row)
    const name = customer(row.customer_id)?.name ?? row.label
    return position ? [{ key: row.id, position, label: initials(name) }] : []
  })
  return marks.slice(-SHOWN)
}

const initials = (name: string) =>
  name
    .split(/\s+/u)
    .map((word) => word.slice(0, 1))
    .join('')
    .slice(0, 2)
    .toUpperCase()
