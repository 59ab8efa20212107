import type { Stop } from '../../../domain/contract'
import type { Block, LaneView } from '../../../domain/dispatch/board/lanes'
import { viewLane } from '../../../domain/dispatch/board/lanes'
import {
  type BoardMove,
  type BoardPlan,
  type BoardStop,
  type Lane,
  laneOf,
} from '../../../domain/dispatch/board/plan'
import { moment } from '../../../domain/time'
import { board as t } from '../../../domain/words/board'
import { en } from '../../../domain/words/index'
import { run } from '../../../store/dispatch'
import { members } from '../../../store/shop'
import { faultText, stopName } from '../../features/dispatch/checkText'
import { rigName } from '../../features/dispatch/stopText'
import { format } from '../../shopFormat'

export const timeText = (second: number) => format.value.time(moment(second * 1000))
const minutes = (seconds: number) => Math.max(1, Math.round(Math.abs(seconds) / 60))

/** The name of a lane's rig; a rig may have had two runs, so its key may have more behind the id. */
export const laneName = ({ rig }: Lane): string => rigName(rig.key.split(' ')[0] ?? null)

export function driverOf({ rig, run: id }: Lane, driverOfRig: string | null): string | undefined {
  const driver = (id === null ? undefined : run(id)?.driver_id) ?? (rig.key ? driverOfRig : null)
  return members.value.find((member) => member.id === driver)?.name
}

/** "12 min late", "5 min early" or nothing. */
export function offText(off: number): string {
  return off === 0 ? '' : off > 0 ? t.block.late(minutes(off)) : t.block.early(minutes(off))
}

/** What a lane's check has to say, fault by fault: rules first, then promises. */
export function faultsOf({ blocks, check }: LaneView): string[] {
  const broken = new Set(check?.faults.filter(({ code }) => code === 'window').map((fault) => fault.stop))
  return [
    ...(check?.faults.map(faultText) ?? []),
    ...blocks.filter((block) => block.pending && block.off !== 0 && !broken.has(block.stop)).map(promiseText),
  ]
}

const promiseText = ({ stop: key, off }: Block) =>
  t.told.off(stopName(key), off > 0 ? t.block.lateOf(minutes(off)) : t.block.earlyOf(minutes(off)))

/** A move and its check, as one text that is read aloud. */
export function tellMove(before: BoardPlan, after: BoardPlan, move: BoardMove): string {
  if (move.kind === 'lock') {
    const lane = after.lanes.find(({ rig }) => rig.key === move.rig)
    const name = lane ? laneName(lane) : en.app.noName
    return move.locked ? t.told.locked(name) : t.told.unlocked(name)
  }
  const from = laneOf(before, move.stop)
  const to = laneOf(after, move.stop)
  const changed = after.lanes.filter(({ rig }) => rig.key === from?.rig.key || rig.key === to?.rig.key)
  const views = changed.map((lane) => viewLane(after, lane))
  const block = views.flatMap(({ blocks }) => blocks).find((each) => each.stop === move.stop)
  const name = stopName(move.stop)
  const where = to ? laneName(to) : ''
  const what = !to
    ? t.told.out(name)
    : block
      ? t.told.moved(name, where, timeText(block.starts), timeText(block.leaves))
      : t.told.untimed(name, where)
  const faults = [...new Set(views.flatMap(faultsOf))]
  const home = changed.findIndex((lane) => lane === (to ?? from))
  const back = views[home]?.home ?? null
  return [
    what,
    ...(faults.length > 0 ? faults : [t.told.holds]),
    ...(back === null ? [] : [t.told.home(timeText(back))]),
  ].join(' ')
}

/** What is written in a block under the customer's name. */
export function blockText(row: Stop, { off, unweighed }: Block): string {
  return en.app.listed(
    [en.dispatch.kinds[row.kind], offText(off), unweighed ? t.block.unweighed : ''].filter(Boolean),
  )
}

/** A block in words: first what is written in it, then what is drawn. */
export function blockLabel(row: Stop, number: number, block: Block, of: BoardStop, moved: boolean): string {
  const { drive, off, starts, leaves } = block
  return en.app.listed(
    [
      `${stopName(block.stop)} ${blockText(row, block)}`,
      t.block.number(number),
      t.selected.span(timeText(starts), timeText(leaves)),
      of.fixedAt === null ? '' : t.block.fixed,
      drive === null ? t.block.noDrive : t.block.minutes(Math.round(drive / 60)),
      of.promised ? t.block.promised(timeText(of.promised.opens), timeText(of.promised.closes)) : '',
      off === 0 ? '' : off > 0 ? t.block.lateOf(minutes(off)) : t.block.earlyOf(minutes(off)),
      block.unweighed ? t.block.unweighedOf : '',
      block.pending ? '' : en.dispatch.states[row.state],
      moved ? t.block.moved : '',
    ].filter(Boolean),
  )
}
