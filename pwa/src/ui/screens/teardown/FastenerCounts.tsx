import { parseSize, showSize } from '../../../domain/bench/fastenerSize'
import { teardown as t } from '../../../domain/words/teardown'
import { offeredSizes } from '../../../store/teardown'
import { Button, ButtonRow } from '../../components/Button'
import { CountRow } from '../../components/CountRow'
import { TextField } from '../../components/Field'
import { Section } from '../../components/Section'
import type { FormPart } from '../../useForm'
import { changeCount, type StepForm } from './stepForm'

/** The fasteners of a step: a press on a known size adds one of it, a press on plus another. */
export function FastenerCounts({ jobId, form }: { jobId: string; form: FormPart<StepForm> }) {
  const { sizes, size } = form.fields
  const change = (each: string, by: number) => form.update({ sizes: changeCount(sizes, each, by) })
  const hide = (which: string) =>
    form.update({
      sizes: sizes.map((each) => (each.size === which ? { ...each, hidden: !each.hidden } : each)),
    })
  function add() {
    const parsed = parseSize(size)
    if (parsed) form.update({ sizes: changeCount(sizes, showSize(parsed), 1), size: '' })
  }
  const offered = offeredSizes(jobId).filter((each) => !sizes.some(({ size }) => size === each))
  return (
    <Section title={t.sizes}>
      {sizes.map(({ size: each, count, hidden }) => (
        <CountRow
          key={each}
          label={each}
          count={count}
          lessLabel={t.less(each)}
          moreLabel={t.more(each)}
          onStep={(by) => change(each, by)}
        >
          <Button
            label={t.hidden}
            ariaLabel={`${t.hidden}: ${each}`}
            pressed={hidden}
            onPress={() => hide(each)}
          />
        </CountRow>
      ))}
      <ButtonRow>
        {offered.map((each) => (
          <Button key={each} label={each} onPress={() => change(each, 1)} />
        ))}
      </ButtonRow>
      <TextField
        label={t.size}
        hint={t.sizeHint}
        value={size}
        error={undefined}
        onValueChange={(typed) => form.update({ size: typed })}
      />
      {parseSize(size) && <Button wide label={t.addSize} onPress={add} />}
    </Section>
  )
}
