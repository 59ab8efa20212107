import type { Fuel, HandOver, StopKind } from '../../../domain/rows'
import { en } from '../../../domain/words'
import type { Drawn } from '../../components/Ink'

const its = en.dispatch.hand

export type View = keyof typeof its.views
export type PartKey = keyof typeof its.parts
export type Condition = HandOver['condition'][number]['state']

export const VIEWS = Object.keys(its.views) as View[]
export const PARTS = Object.keys(its.parts) as PartKey[]
export const STATES = Object.keys(its.states) as Condition[]
export const FUELS = Object.keys(its.fuels) as Fuel[]
export const MADE = Object.keys(its.made) as (keyof typeof its.made)[]
export const LEFT = Object.keys(its.left) as (keyof typeof its.left)[]

export type Step = 'pictures' | 'condition' | 'meter' | 'keeps' | 'safe' | 'left' | 'open' | 'sign'

/** What is gone through, one screen after the other. */
export const STEPS: Record<StopKind, readonly Step[]> = {
  pickup: ['pictures', 'condition', 'meter', 'keeps', 'safe', 'sign'],
  return: ['pictures', 'meter', 'left', 'open', 'sign'],
  visit: ['left', 'open', 'sign'],
}

/** What was gone through so far; kept through a reload. */
export interface Handing {
  step: number
  condition: Partial<Record<PartKey, { state: Condition; note: string }>>
  hours: string
  fresh: boolean
  /** The hours that were asked about once already. */
  asked: string
  keys: string
  fuel: Fuel
  accessories: string
  runs: 'yes' | 'no' | ''
  made: (typeof MADE)[number][]
  straps: string
  left: (typeof LEFT)[number][]
  leftNote: string
  heard: string[]
  nobody: boolean
  name: string
  strokes: Drawn
  box: { width: number; height: number }
}

export const UNTOUCHED: Handing = {
  step: 0,
  condition: {},
  hours: '',
  fresh: false,
  asked: '',
  keys: '',
  fuel: 'unknown',
  accessories: '',
  runs: '',
  made: [],
  straps: '',
  left: [],
  leftNote: '',
  heard: [],
  nobody: false,
  name: '',
  strokes: [],
  box: { width: 1, height: 1 },
}

const NOTE = 60

/** The lists as they are kept: keys of what was ticked, then what was typed. */
export function madeSafe({ made, straps }: Handing): string[] {
  const count = Number(straps)
  return [...made, ...(count > 0 ? [its.strapsTold(count)] : [])]
}

export function asLeft({ left, leftNote }: Handing): string[] {
  const note = leftNote.trim().slice(0, NOTE)
  return [...left, ...(note ? [note] : [])]
}

export function conditionOf({ condition }: Handing): HandOver['condition'] {
  return PARTS.flatMap((part) => {
    const seen = condition[part]
    return seen ? [{ part, state: seen.state, note: seen.note.trim() }] : []
  })
}

const wordsFor = (list: Readonly<Record<string, string>>, key: string): string => list[key] ?? key

export const madeWords = (made: readonly string[]) => made.map((key) => wordsFor(its.made, key)).join('\n')
export const leftWords = (left: readonly string[]) => left.map((key) => wordsFor(its.left, key)).join('\n')

export function conditionWords(condition: HandOver['condition']): string {
  return condition
    .map(({ part, state, note }) =>
      en.app.joined([`${wordsFor(its.parts, part)}: ${its.states[state]}`, note]),
    )
    .join('\n')
}
