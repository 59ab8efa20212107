// The phone's side of test_replay.py: one request a line on standard input, one answer a line on output.
import { createInterface } from 'node:readline'
import './sources.mts'

const { OverlayRows } = await import('../../pwa/src/store/rows/overlay.ts')
const { loadReplays, replay } = await import('../../pwa/src/store/replay/replay.ts')
const { KINDS } = await import('../../pwa/src/domain/contract.ts')

await loadReplays()
let overlay = new OverlayRows()

/** What one command changes on top of the rows as they are: rows put, and [kind, id] of rows taken out. */
function effectOf(entry: any, who: any) {
  const before = new Map(KINDS.map((kind) => [kind, new Map(overlay.all(kind).map((row) => [row.id, row]))]))
  overlay.takeChanged()
  replay(overlay, entry, who)
  const put: Record<string, object[]> = {}
  const gone: [string, string][] = []
  for (const kind of overlay.takeChanged()) {
    const known = before.get(kind)
    const after = overlay.all(kind)
    put[kind] = after.filter((row) => known?.get(row.id) !== row)
    const ids = new Set(after.map(({ id }) => id))
    for (const id of known?.keys() ?? []) if (!ids.has(id)) gone.push([kind, id])
  }
  overlay.clearOverlay()
  return { put, gone }
}

function answer({ fresh, rows, gone, entry, who }: any) {
  if (fresh) overlay = new OverlayRows()
  for (const [kind, found] of Object.entries(rows ?? {}) as [any, any[]][])
    for (const row of found) overlay.putBase(kind, row)
  for (const [kind, id] of gone ?? []) overlay.dropBase(kind, id)
  return entry ? effectOf(entry, who) : {}
}

for await (const line of createInterface({ input: process.stdin })) {
  let result: object
  try {
    result = answer(JSON.parse(line))
  } catch (error) {
    result = { error: String((error as Error).stack) }
  }
  console.log(JSON.stringify(result))
}
