/**
 * A phone may update while its queue is still unsent: the screens then show commands of an earlier build.
 * The queues are the recorded ones that `tests/sync/test_recorded_app.py` sends to the server.
 */
import { readdirSync, readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import {
  type ByCommand,
  type Command,
  EDITS,
  MAKES,
  PRICE_PARTS,
  type PriceBook,
  REMOVES,
  type Shop,
} from '../../domain/contract'
import { loadReplays } from '../replay/replay'
import { RowsView } from '../rows/view'
import type { OutboxEntry } from './entry'
import { currentCommand } from './formerCommands'

await loadReplays()

type Sent = Command & Pick<OutboxEntry, 'id' | 'no' | 'v' | 'wall' | 'mono_ms' | 'session'>

const folder = new URL('../../../../fixtures/old_apps/', import.meta.url)
const builds = readdirSync(folder).flatMap((file) => (file.endsWith('.json') ? [file.slice(0, -5)] : []))

/** The outbox of a build. */
function outboxOf(build: string) {
  const { shop, requests } = JSON.parse(readFileSync(new URL(`${build}.json`, folder), 'utf8')) as {
    shop?: string
    requests: { path: string; body: { device: string; commands: Sent[] } }[]
  }
  const push = requests.find(({ path }) => path.endsWith('/push'))?.body
  const sent = push?.commands ?? []
  const who = { member_id: 'member', device_id: push?.device ?? '' }
  const entries = sent.map(
    (one) =>
      ({
        ...one,
        device_id: who.device_id,
        made_words: '',
        status: 'waiting',
        tries: 0,
        code: null,
        words: null,
        fields: [],
      }) as unknown as OutboxEntry,
  )
  // The shop's own row and its prices are there before any command.
  const rows = shop
    ? [
        ['shop', shop, { id: shop } as Shop] as const,
        ['price_book', shop, { id: shop, confirmed: PRICE_PARTS } as unknown as PriceBook] as const,
      ]
    : []
  return { sent, who, entries, rows }
}

const [makes, edits, removes]: ByCommand[] = [MAKES, EDITS, REMOVES]

test.each(builds)('each command of %s that is still unsent is shown', (build) => {
  const { sent, who, entries, rows } = outboxOf(build)
  const view = new RowsView(who)
  view.replaceAll({ rows, outbox: [] })
  const checked = { makes: 0, edits: 0, removes: 0 }
  for (const entry of entries) {
    view.append([entry])
    const { name, args } = currentCommand(entry)
    const { id, set } = args as { id: string; set?: object }
    const [made, edited, removed] = [makes?.[name], edits?.[name], removes?.[name]]
    if (made) {
      expect(view.get(made, id), name).toBeDefined()
      checked.makes += 1
    }
    if (edited) {
      expect(view.get(edited, id), name).toMatchObject(set ?? {})
      checked.edits += 1
    }
    if (removed) {
      expect(view.get(removed, id), name).toBeUndefined()
      checked.removes += 1
    }
  }
  expect(checked).toEqual({
    makes: sent.filter(({ name }) => makes?.[name]).length,
    edits: sent.filter(({ name }) => edits?.[name]).length,
    removes: sent.filter(({ name }) => removes?.[name]).length,
  })
})

test.each(builds)('after the whole queue of %s the screens show its final state', (build) => {
  const { who, entries, rows } = outboxOf(build)
  const view = new RowsView(who)
  view.replaceAll({ rows, outbox: entries })
  const states = (kind: 'stop' | 'run' | 'time_entry') => view.all(kind).map(({ state }) => state)
  expect({
    customers: view.all('customer').map(({ name }) => name),
    jobs: view.all('job').map(({ stage }) => stage),
    findings: view.all('finding').map(({ rank }) => rank),
    quotes: view.all('quote').map(({ state }) => state),
    stops: states('stop').toSorted(),
    runs: states('run').toSorted(),
    clocks: states('time_entry').toSorted(),
  }).toEqual({
    customers: ['Winnie Stroud'],
    jobs: ['intake', build === '0.1.0' ? 'diagnosis' : 'testing'],
    findings: ['safety'],
    quotes: ['withdrawn'],
    stops: ['asked', 'failed', 'left'],
    runs: ['cancelled', 'done'],
    clocks: ['closed', 'replaced', 'replaced'],
  })
})
