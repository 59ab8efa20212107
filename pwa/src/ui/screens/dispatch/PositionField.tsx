import { useState } from 'preact/hooks'
import { type Position, pairWords, positionOf, readPosition } from '../../../domain/places'
import { en } from '../../../domain/words'
import { customer, knownSites } from '../../../store/customers'
import { yard } from '../../../store/dispatch'
import { session } from '../../../store/session'
import { Drawn } from '../../components/Drawn'
import { Field } from '../../components/Field'
import { Key, Keys } from '../../components/Press'

const its = en.dispatch.place
/** Enough places to find one's way by. */
const SHOWN = 12

interface Props {
  value: string
  wrong?: string | undefined
  label?: string
  hint?: string
  onValue: (value: string) => void
}

/** A position: pasted, taken from where the phone is, or pointed at among known places. */
export function PositionField({ value, wrong, label = its.label, hint = its.hint, onValue }: Props) {
  const [told, setTold] = useState('')
  const [pointing, setPointing] = useState(false)
  const here = readPosition(value)
  const home = positionOf(yard.value)
  const known = knownSites()
    .flatMap((row) => {
      const position = positionOf(row)
      const name = customer(row.customer_id)?.name ?? row.label
      return position ? [{ key: row.id, position, mark: initials(name) }] : []
    })
    .slice(-SHOWN)
  const marks = here ? [...known, { key: 'here', position: here, mark: '×' }] : known

  function locate() {
    setTold(its.looking)
    const { geolocation } = navigator
    if (!geolocation) return setTold(its.noHere)
    geolocation.getCurrentPosition(
      ({ coords }) => {
        setTold('')
        onValue(pairWords({ lat: coords.latitude, lon: coords.longitude }))
      },
      () => setTold(its.noHere),
      { enableHighAccuracy: true, timeout: 20_000, maximumAge: 30_000 },
    )
  }
  const point = (position: Position) => {
    onValue(pairWords(position))
    setTold(its.off)
  }
  return (
    <>
      <Field
        label={label}
        hint={hint}
        value={value}
        wrong={wrong}
        capital="off"
        onValue={(typed) => {
          setTold('')
          onValue(typed)
        }}
      />
      <Keys>
        <Key words={its.here} onPress={locate} />
        {(home || known.length > 0) && (
          <Key words={its.onMap} pressed={pointing} onPress={() => setPointing(!pointing)} />
        )}
      </Keys>
      <p role="status">{told}</p>
      {pointing && (
        <Drawn
          label={its.mapWords(marks.length)}
          home={home}
          homeWords={en.dispatch.run.yard}
          marks={marks}
          tiles={session.value.tiles}
          onPick={point}
        />
      )}
    </>
  )
}

const initials = (name: string) =>
  name
    .split(/\s+/u)
    .map((word) => word.slice(0, 1))
    .join('')
    .slice(0, 2)
    .toUpperCase()

/** Latitude and longitude as the rows keep them; null for an empty field, undefined for one that cannot be read. */
export function readPair(typed: string): { lat: string | null; lon: string | null } | undefined {
  if (!typed.trim()) return { lat: null, lon: null }
  const position = readPosition(typed)
  if (!position) return undefined
  const [lat = '', lon = ''] = pairWords(position).split(', ')
  return { lat, lon }
}

/** What stands in the field for a row's position. */
export function typedPair(row: { lat: string | null; lon: string | null } | null | undefined): string {
  const position = row && positionOf(row)
  return position ? pairWords(position) : ''
}
