import './styles'
import { checkedItems, fitsMachine, listFor } from '../../../domain/bench/checks'
import type { CheckList, Job } from '../../../domain/contract'
import { checkListForm, checkState, checks as t } from '../../../domain/words/checks'
import { checkLists, checksOf } from '../../../store/checks'
import { job } from '../../../store/jobs'
import { machine } from '../../../store/machines'
import { Button, ButtonRow } from '../../components/Button'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { NotFound } from '../../NotFound'
import { machineName } from '../../names'
import { ShopPage } from '../../ShopPage'
import { CheckWalk } from './CheckWalk'
import { ExampleLists } from './ExampleLists'

/** The checks of a job: the list that fits is open at its next item; the others are below. */
export function JobChecks({ id, listId }: { id: string; listId?: string }) {
  const row = job(id)
  if (!row) return <NotFound />
  const lists = checkLists()
  const kind = machine(row.machine_id)?.kind ?? ''
  const list = lists.find((each) => each.id === listId) ?? listFor(lists, checksOf(id), kind) ?? lists[0]
  if (!list) return <NoLists row={row} />
  const others = lists.filter((each) => each.id !== list.id)
  return (
    <CheckWalk key={list.id} row={row} list={list}>
      <Others
        row={row}
        lists={[...others].sort((a, b) => Number(fitsMachine(b, kind)) - Number(fitsMachine(a, kind)))}
      />
      <ButtonRow>
        <Button label={t.editList} to={{ at: 'check-list', id: list.id }} />
      </ButtonRow>
    </CheckWalk>
  )
}

function NoLists({ row }: { row: Job }) {
  return (
    <ShopPage
      overline={machineName(machine(row.machine_id))}
      title={t.title}
      back={{ at: 'job-bench', id: row.id }}
    >
      <List items={[]} keyOf={String} empty={t.noLists} emptyHint={t.noListsHint}>
        {() => null}
      </List>
      <ExampleLists jobId={row.id} />
      <ButtonRow stacked>
        <Button wide label={checkListForm.add} to={{ at: 'new-check-list', jobId: row.id }} />
      </ButtonRow>
    </ShopPage>
  )
}

function Others({ row, lists }: { row: Job; lists: readonly CheckList[] }) {
  if (!lists.length) return null
  return (
    <Section title={t.others} end={lists.length}>
      <List items={lists} keyOf={({ id }) => id} empty="">
        {(list) => {
          const items = checkedItems(list, checksOf(row.id))
          const done = items.filter(({ check }) => check).length
          const bad = items.filter(({ check }) => check?.result === 'bad').length
          return (
            <ListItem
              to={{ at: 'job-checks', id: row.id, listId: list.id }}
              title={list.name}
              details={[list.purpose, list.machine_kind].filter(Boolean).join(' · ')}
              value={checkState(done, items.length, bad) || checkListForm.count(items.length)}
            />
          )
        }}
      </List>
    </Section>
  )
}
