import { neededTries } from '../../../domain/bench/startBounds'
import type { Job } from '../../../domain/contract'
import { testing } from '../../../domain/words/testing'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { recordRunTest } from '../../../store/runTests'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { DescriptionList, Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { Cautions } from '../../features/cautions/Cautions'
import { startsSay } from '../../features/testing/testText'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { useForm } from '../../useForm'

const t = testing.starts
/** Faults in one of so many starts, of which the screen says how many good starts rule them out. */
const RATES = [2, 5, 10, 20]

/** Starts counted for a complaint that comes and goes, with what the count says and what it does not. */
export function Starts({ id }: { id: string }) {
  const row = job(id)
  return row ? <Count row={row} /> : <NotFound />
}

function Count({ row }: { row: Job }) {
  // One character for each start, in their order, so that the last can be undone.
  const form = useForm({
    name: `starts:${row.id}`,
    blank: { starts: '', words: '' },
    check: ({ starts }) => ({ starts: !starts && t.missing }),
    save: ({ starts, words }) => {
      const good = countOf(starts, GOOD)
      return recordRunTest({
        job_id: row.id,
        kind: 'starts',
        outcome: good === starts.length ? 'passed' : 'failed',
        tries: starts.length,
        good,
        words: words.trim(),
      })
    },
    back: { at: 'job-tests', id: row.id },
  })
  const { starts } = form.fields
  const good = countOf(starts, GOOD)
  const add = (start: string) => () => form.update({ starts: starts + start })
  return (
    <FormPage
      form={form}
      overline={machineName(machine(row.machine_id))}
      title={t.title}
      saveLabel={t.save}
      saveHint={starts ? testing.good(good, starts.length) : undefined}
      missing={starts ? undefined : t.missing}
      before={<Cautions job={row.id} codes={['running_engine']} />}
      after={<Needed />}
    >
      <ButtonRow stacked>
        <Button wide label={t.good} onPress={add(GOOD)} />
        <Button wide label={t.bad} onPress={add(BAD)} />
        {starts && (
          <Button wide label={t.undo} onPress={() => form.update({ starts: starts.slice(0, -1) })} />
        )}
      </ButtonRow>
      <div role="status">
        {starts ? (
          <Section title={testing.good(good, starts.length)}>
            {startsSay(good, starts.length - good).map((sentence) => (
              <p key={sentence}>{sentence}</p>
            ))}
            <p class="hint">{t.assumption}</p>
          </Section>
        ) : (
          <p>{t.none}</p>
        )}
      </div>
      <TextField multiline label={testing.form.words} {...form.field('words')} />
    </FormPage>
  )
}

const GOOD = '+'
const BAD = '-'
const countOf = (starts: string, which: string) => [...starts].filter((each) => each === which).length

function Needed() {
  return (
    <Section title={t.needed}>
      <DescriptionList
        items={RATES.map((one_in) => [t.neededRow(one_in), t.neededValue(neededTries(1 / one_in))])}
      />
    </Section>
  )
}
