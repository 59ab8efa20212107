import { useState } from 'preact/hooks'
import { LABELS, type LabelKind } from '../../../domain/contract'
import { labels as t } from '../../../domain/words/labels'
import { job } from '../../../store/jobs'
import { labelSheetsOf, nextBag, printLabels } from '../../../store/labels'
import { machine } from '../../../store/machines'
import { NumberStepper } from '../../components/NumberStepper'
import { RadioGroup } from '../../components/RadioGroup'
import { PrintButtons } from '../../features/dispatch/PrintButtons'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'

const KINDS = ['bags', 'safety'] as const
const USUAL_COUNT = 12

/** Labels of a job as one PDF: for numbered bags, or tags that warn of a safety device. */
export function Labels({ id }: { id: string }) {
  const row = job(id)
  const sheets = labelSheetsOf(id)
  const [kind, setKind] = useState<LabelKind>('bags')
  const [typed, setTyped] = useState<{ first?: string; count?: string }>({})
  if (!row) return <NotFound />
  const first = within(typed.first, nextBag(sheets), LABELS.most_bag)
  const count = within(typed.count, USUAL_COUNT, LABELS.most)
  const latest = sheets.filter((each) => each.kind === kind).at(-1)
  const stepper = (name: 'first' | 'count', value: number, label: string) => (
    <NumberStepper
      label={label}
      value={typed[name] ?? String(value)}
      onValueChange={(text) => setTyped({ ...typed, [name]: text })}
      onStep={(by) => setTyped({ ...typed, [name]: String(Math.max(1, value + by)) })}
      decreaseLabel={t.fewer(label)}
      increaseLabel={t.more(label)}
    />
  )
  return (
    <ShopPage overline={machineName(machine(row.machine_id))} title={t.title} back={{ at: 'job-bench', id }}>
      <RadioGroup
        label={t.kind}
        value={kind}
        options={KINDS.map((value) => ({ value, label: t.kinds[value], hint: t.hints[value] }))}
        onValueChange={setKind}
      />
      {kind === 'bags' && (
        <>
          {stepper('first', first, t.first)}
          {stepper('count', count, t.count)}
        </>
      )}
      <p>{t.signal}</p>
      <PrintButtons
        path="label-sheets"
        words={kind === 'bags' ? t.printBags(t.range(first, first + count - 1)) : t.printTags}
        openWords={
          kind === 'bags' && latest
            ? t.openBags(t.range(latest.first, latest.first + latest.count - 1))
            : t.openTags
        }
        printout={latest}
        onAsk={async () => {
          await printLabels(id, kind, first, count)
          setTyped({})
        }}
      />
    </ShopPage>
  )
}

/** The number that was typed, kept between 1 and the most; the usual one where none can be read. */
function within(text: string | undefined, usual: number, most: number): number {
  const number = Number.parseInt(text ?? '', 10)
  return Math.min(most, Math.max(1, Number.isNaN(number) ? usual : number))
}
