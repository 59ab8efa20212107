import { useState } from 'preact/hooks'
import { type Position, pairWords, positionOf, readPosition } from '../../../domain/geo/places'
import { en } from '../../../domain/words'
import { customer, knownSites } from '../../../store/customers'
import { yard } from '../../../store/dispatch'
import { session } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { LocationMap } from '../../components/LocationMap'

const t = en.dispatch.place
/** Enough sites for orientation. */
const SHOWN = 12

interface Props {
  value: string
  error?: string | undefined
  label?: string
  hint?: string
  onValueChange: (value: string) => void
}

/** A position: pasted, from the phone's location, or by a tap on a map of known sites. */
export function PositionField({ value, error, label = t.label, hint = t.hint, onValueChange }: Props) {
  const [status, setStatus] = useState('')
  const [pointing, setPointing] = useState(false)
  const here = readPosition(value)
  const home = positionOf(yard.value)
  const known = knownMarks()
  const marks = here ? [...known, { key: 'here', position: here, label: '×' }] : known

  function locate() {
    setStatus(t.looking)
    const { geolocation } = navigator
    if (!geolocation) return setStatus(t.noHere)
    geolocation.getCurrentPosition(
      ({ coords }) => {
        setStatus('')
        onValueChange(pairWords({ lat: coords.latitude, lon: coords.longitude }))
      },
      () => setStatus(t.noHere),
      { enableHighAccuracy: true, timeout: 20_000, maximumAge: 30_000 },
    )
  }
  const point = (position: Position) => {
    onValueChange(pairWords(position))
    setStatus(t.off)
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
          onValueChange(typed)
        }}
      />
      <ButtonRow>
        <Button label={t.here} onPress={locate} />
        {(home || known.length > 0) && (
          <Button label={t.onMap} pressed={pointing} onPress={() => setPointing(!pointing)} />
        )}
      </ButtonRow>
      <p role="status">{status}</p>
      {pointing && (
        <LocationMap
          label={t.mapWords(marks.length)}
          yard={home}
          yardLabel={en.dispatch.run.yard}
          markers={marks}
          tiles={session.value.tiles}
          onPick={point}
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
