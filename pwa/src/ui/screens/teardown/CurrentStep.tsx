import type { ComponentChildren } from 'preact'
import { placedAt, putBackMoves } from '../../../domain/bench/putBackMoves'
import type { RemovalStep } from '../../../domain/contract'
import { teardown as t } from '../../../domain/words/teardown'
import { newId } from '../../../store/browser/clock'
import { fastenersOf, movesOf, putStepBack } from '../../../store/teardown'
import { PrimaryButton } from '../../components/Button'
import { DescriptionList } from '../../components/Section'
import { PictureStrip } from '../../features/pictures/Pictures'
import { navigate } from '../../router'
import { ShopPage } from '../../ShopPage'
import { showToast } from '../../toast'
import { useDraft } from '../../useDraft'
import { useSaveOnce } from '../../useSaveOnce'
import { FastenerBack } from './FastenerBack'
import { nameOfStep } from './stepName'

interface Props {
  step: RemovalStep
  /** How many steps are left, with this one. */
  left: number
  overline: string
  moved: string
  children: ComponentChildren
}

/** What was changed by hand, by fastener: how many go back, and whether an old one is used again. */
interface Counted {
  counts: Record<string, number>
  old: string[]
}

/** The step that is put back now. One press puts back all that came off with it. */
export function CurrentStep({ step, left, overline, moved, children }: Props) {
  const name = nameOfStep(step.id)
  const fasteners = fastenersOf(step.id)
  const { fields, update, discard } = useDraft<Counted>(`put-back:${step.id}`, { counts: {}, old: [] })
  const { busy, save } = useSaveOnce()
  const rows = fasteners.map((row) => ({
    row,
    count: fields.counts[row.id] ?? Math.max(0, row.count - placedAt(row.id, movesOf(row.id))),
    useNew: row.one_use && !fields.old.includes(row.id),
  }))
  let undo: () => Promise<unknown> = () => Promise.resolve()
  const done = () =>
    save(
      async () => {
        undo = await putStepBack(step.id, putBackMoves(step, rows, newId))
      },
      () => {
        discard()
        showToast(t.stepDone(name), undo)
        navigate({ at: 'job-put-back', id: step.job_id }, { replace: true })
      },
    )
  return (
    <ShopPage
      variant="one-hand"
      overline={overline}
      title={name}
      back={{ at: 'job-bench', id: step.job_id }}
      dock={
        <PrimaryButton label={t.doneLabel} hint={t.doneHint(left)} busy={busy} onPress={() => void done()} />
      }
    >
      {moved && <p role="note">{moved}</p>}
      <PictureStrip about_kind="removal_step" about_id={step.id} />
      <DescriptionList
        items={[
          [t.place, step.what ? step.place : ''],
          [t.bag, step.bag?.toString() ?? ''],
          [t.flags, step.loosened ? t.loosened : ''],
        ]}
      />
      {rows.map(({ row, count, useNew }) => (
        <FastenerBack
          key={row.id}
          row={row}
          loosened={step.loosened}
          count={count}
          useNew={useNew}
          onCount={(next) => update({ counts: { ...fields.counts, [row.id]: next } })}
          onUseNew={() =>
            update({ old: useNew ? [...fields.old, row.id] : fields.old.filter((id) => id !== row.id) })
          }
        />
      ))}
      {children}
    </ShopPage>
  )
}
