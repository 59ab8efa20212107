import type { ComponentChildren } from 'preact'
import { useRef, useState } from 'preact/hooks'
import { type CheckedItem, checkedItems, nextItem, RESULTS } from '../../../domain/bench/checks'
import type { CheckItem, CheckList, ItemResult, Job } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { results, checks as t } from '../../../domain/words/checks'
import { checksOf, recordCheck } from '../../../store/checks'
import { machine } from '../../../store/machines'
import { Button, PrimaryButton } from '../../components/Button'
import { TextField } from '../../components/Field'
import { List } from '../../components/List'
import { Section } from '../../components/Section'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { showToast } from '../../toast'
import { useDraft } from '../../useDraft'
import { CheckRow } from './CheckRow'

/** The second tap of a double tap, which gloves cause, must not answer the next item. */
const DOUBLE_TAP_MS = 350

interface Props {
  row: Job
  list: CheckList
  children: ComponentChildren
}

/** A check list on a job: one item at a time, answered in one tap, then the next comes up; all of them are below. */
export function CheckWalk({ row, list, children }: Props) {
  const items = checkedItems(list, checksOf(row.id))
  const { current, shown, words, write, choose, answer } = useAnswers(row, list, items)
  const count = (result: ItemResult) => items.filter(({ check }) => check?.result === result).length
  return (
    <ShopPage
      overline={machineName(machine(row.machine_id))}
      title={list.name}
      back={{ at: 'job-bench', id: row.id }}
      dock={
        current ? (
          <Answers chosen={shown?.check?.result} onAnswer={(result) => void answer(result)} />
        ) : (
          <PrimaryButton label={t.back} to={{ at: 'job-bench', id: row.id }} />
        )
      }
    >
      {current ? (
        <Item
          item={current}
          position={t.position(items.findIndex(({ item }) => item === current) + 1, items.length)}
        >
          <TextField label={t.words} value={words} onValueChange={write} enterKey="done" />
        </Item>
      ) : (
        <p class="check-item" aria-live="polite">
          {items.length ? t.done : t.noItems}
          {items.length > 0 && <small>{t.doneSum(count('bad'), count('worn'))}</small>}
        </p>
      )}
      <Section title={t.items} end={t.position(items.filter(({ check }) => check).length, items.length)}>
        <List items={items} keyOf={({ item }) => item.id} empty="">
          {(each) => <CheckRow checked={each} onChoose={() => choose(each.item.id)} />}
        </List>
      </Section>
      {children}
    </ShopPage>
  )
}

/** The item that is up, what was typed at it, and how it is answered. */
function useAnswers(row: Job, list: CheckList, items: readonly CheckedItem[]) {
  const draft = useDraft(`check:${row.id}`, { of: '', text: '' })
  const [chosen, setChosen] = useState(draft.fields.of)
  const last = useRef(0)
  const current = items.find(({ item }) => item.id === chosen)?.item ?? nextItem(items)
  const shown = items.find(({ item }) => item.id === current?.id)
  const words = draft.fields.of === current?.id ? draft.fields.text : (shown?.check?.words ?? '')

  async function answer(result: ItemResult) {
    if (!current || Date.now() - last.current < DOUBLE_TAP_MS) return
    last.current = Date.now()
    const { id: item_id, words: item_words, critical } = current
    const finding_id = shown?.check?.finding_id ?? null
    const of = { job_id: row.id, item_id, list_name: list.name, item_words, critical }
    try {
      await recordCheck({ ...of, result, words: words.trim(), finding_id })
    } catch {
      showToast(en.app.notSaved)
      return
    }
    draft.update({ of: '', text: '' })
    setChosen(nextItem(items, item_id)?.id ?? '')
  }
  const write = (text: string) => current && draft.update({ of: current.id, text })
  return { current, shown, words, write, choose: setChosen, answer }
}

function Item({
  item,
  position,
  children,
}: {
  item: CheckItem
  position: string
  children: ComponentChildren
}) {
  return (
    <>
      <p class="check-item" aria-live="polite">
        <small>{position}</small>
        {item.words}
      </p>
      {item.critical && <p class="hint">{t.critical}</p>}
      {children}
    </>
  )
}

function Answers({
  chosen,
  onAnswer,
}: {
  chosen: ItemResult | undefined
  onAnswer: (result: ItemResult) => void
}) {
  return (
    <div class="check-answers">
      {RESULTS.map((result) => (
        <Button
          key={result}
          label={results[result]}
          pressed={chosen === result}
          onPress={() => onAnswer(result)}
        />
      ))}
    </div>
  )
}
