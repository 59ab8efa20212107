import { faultsOfCircuit } from '../../../domain/bench/circuit'
import { type Chain, moveContact, putIntoWay, takeOut } from '../../../domain/bench/circuitChanges'
import type { Circuit, CircuitContact, CircuitModel } from '../../../domain/contract'
import { circuit as t } from '../../../domain/words/circuit'
import { circuit, editCircuit } from '../../../store/circuits'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { List, ListItem, OpeningItem } from '../../components/List'
import { Section } from '../../components/Section'
import { NotFound } from '../../NotFound'
import type { Route } from '../../router'
import { ShopPage } from '../../ShopPage'
import { showToast } from '../../toast'
import { partName } from './diagnosis'

/** One way of a chain: its parts in series. Every tap is saved, and can be undone. */
export function WayForm({
  id,
  chain,
  way,
  jobId,
}: {
  id: string
  chain: string
  way: string
  jobId?: string
}) {
  const row = circuit(id)
  if (!row) return <NotFound />
  const of = chain === 'kill' ? 'kill' : 'crank'
  const number = Math.min(Math.max(0, Number(way) || 0), row.wiring[of].length)
  return <Way row={row} chain={of} way={number} {...(jobId && { jobId })} />
}

function Way({ row, chain, way, jobId }: { row: Circuit; chain: Chain; way: number; jobId?: string }) {
  const { wiring } = row
  const contacts = wiring[chain][way]?.contacts ?? []
  const inWay = new Set(contacts.map(({ part }) => part))
  const others = wiring.parts.filter(({ key }) => !inWay.has(key))
  const place = { id: row.id, chain, way: `${way}`, ...(jobId && { jobId }) }
  const put = (part: string) => void change(row, putIntoWay(wiring, chain, way, part))
  return (
    <ShopPage
      overline={row.name}
      title={t.wayTitle(chain, way + 1)}
      back={{ at: 'circuit', id: row.id, ...(jobId && { jobId }) }}
      dock={<PrimaryButton label={t.addPart} to={{ at: 'circuit-part', ...place }} />}
    >
      <p class="hint">{t.wayHint}</p>
      <List
        items={contacts.map((contact, at) => ({ contact, at }))}
        keyOf={({ contact }) => contact.part}
        empty="–"
      >
        {({ contact, at }) => (
          <Contact row={row} chain={chain} way={way} at={at} contact={contact} {...(jobId && { jobId })} />
        )}
      </List>
      {others.length > 0 && (
        <Section title={t.addKnown}>
          <List items={others} keyOf={({ key }) => key} empty="">
            {({ key, name }) => <ListItem title={name} onPress={() => put(key)} />}
          </List>
        </Section>
      )}
    </ShopPage>
  )
}

interface ContactProps {
  row: Circuit
  chain: Chain
  way: number
  at: number
  contact: CircuitContact
  jobId?: string
}

function Contact({ row, chain, way, at, contact, jobId }: ContactProps) {
  const { wiring } = row
  const edit: Route = {
    at: 'circuit-part',
    id: row.id,
    part: contact.part,
    chain,
    way: `${way}`,
    ...(jobId && { jobId }),
  }
  return (
    <OpeningItem title={partName(wiring, contact.part)} details={closedText(contact)}>
      <ButtonRow>
        <Button label={t.up} onPress={() => void change(row, moveContact(wiring, chain, way, at, -1))} />
        <Button label={t.down} onPress={() => void change(row, moveContact(wiring, chain, way, at, 1))} />
        <Button label={t.partTitle} to={edit} />
        <Button
          label={t.takeOut}
          onPress={() => void change(row, takeOut(wiring, chain, way, at), t.takenOut)}
        />
      </ButtonRow>
    </OpeningItem>
  )
}

const closedText = ({ control, closed }: CircuitContact): string =>
  control ? t.closedWhen(control, closed) : closed ? t.closedAlways : t.closedNever

/** Saves a changed circuit; one that is wrong is not saved, and the reason shown. */
async function change(row: Circuit, wiring: CircuitModel, text?: string): Promise<void> {
  const [fault] = faultsOfCircuit(wiring)
  if (fault) {
    showToast(
      { circuit_without_switch: t.noSwitch, part_unknown: t.partUnknown, part_twice: t.partTwice }[fault],
    )
    return
  }
  await editCircuit(row, { wiring })
  if (text) showToast(text, () => editCircuit({ ...row, wiring }, { wiring: row.wiring }))
}
