/** Figures typed into the forms of rigs and machines come back as typed, and saving changes no other figure. */
import { expect, test } from 'vitest'
import type { Rig, Units } from '../contract'
import { numberFormatsFor } from '../numbers/formats'
import {
  DECK,
  figuresOfRig,
  figureText,
  groupsOf,
  LOADING,
  type NumberStyle,
  readFigure,
  TRAILER,
  TRUCK,
  type TypedFigures,
  typedFigures,
  unreadFigures,
} from './rigFields'

const { readNumber } = numberFormatsFor('en-US', 'USD', 'UTC')
const written = (units: Units): NumberStyle => ({ units, readNumber, mark: '.' })
const NAMES = [...DECK, ...TRAILER, ...TRUCK, ...LOADING]
const BARE = { payload_kg: 500, payload_typed: '', straps_cross: false } as unknown as Rig

/** Texts for every figure of a rig: pounds and inches that are no whole kilograms and centimetres. */
const texts = (amount: number): TypedFigures =>
  Object.fromEntries(
    NAMES.map((name, at) => {
      if (name.endsWith('_kg')) return [name, String(amount + at)]
      if (name.endsWith('_cm')) return [name, String((amount + at) / 4)]
      return [name, name === 'straps' ? '0' : '2']
    }),
  )

test.each(['us', 'metric'] as Units[])('every figure of a rig comes back as typed (%s)', (units) => {
  const writing = written(units)
  for (let amount = 100; amount < 900; amount += 37) {
    const typed = texts(amount)
    expect(unreadFigures(typed, writing)).toEqual([])
    const rig = { ...BARE, ...groupsOf(typed, writing, null, true) } as Rig
    expect(typedFigures(rig, writing)).toEqual(typed)
    // Saving again without a change keeps every figure, in whatever unit the shop writes now.
    for (const now of ['us', 'metric'] as Units[])
      expect(groupsOf(typedFigures(rig, written(now)), written(now), rig, true)).toEqual(
        groupsOf(typed, writing, null, true),
      )
  }
})

test('a figure that nobody typed in this unit is not rewritten by saving', () => {
  const rig = { ...BARE, ...groupsOf({ deck_length_cm: '500' }, written('metric'), null, false) } as Rig
  const old = { ...rig, deck: { ...rig.deck, typed: {} }, strap_wll_kg: 908, strap_wll_typed: '' }
  expect(typedFigures(old, written('us')).deck_length_cm).toBe('196.9')
  const again = groupsOf(typedFigures(old, written('us')), written('us'), old, false)
  expect(again.deck).toMatchObject({ length_cm: 500 })
  expect(again.deck.typed).toBeUndefined()
  expect(again).toMatchObject({ strap_wll_kg: 908, strap_wll_typed: '', trailer: null })
})

test('what is no figure is distinguished from an empty field, and no straps from uncounted ones', () => {
  expect(readFigure('straps', '0', written('us'))).toEqual({ whole: 0, typed: '' })
  expect(readFigure('straps', '', written('us'))).toBeNull()
  expect(readFigure('straps', 'many', written('us'))).toBeUndefined()
  expect(unreadFigures({ deck_length_cm: 'long', truck_ready_kg: '5,800' }, written('us'))).toEqual([
    'deck_length_cm',
  ])
  const rig = { ...BARE, ...groupsOf({}, written('metric'), null, false) } as Rig
  expect(figureText('payload_kg', figuresOfRig(rig).payload_kg ?? null, written('metric'))).toBe('500')
})
