import type { Rig, Run } from '../../../domain/contract'
import { readPair, telLink } from '../../../domain/geo/places'
import { trouble as t } from '../../../domain/words/breakdown'
import { en } from '../../../domain/words/index'
import { rig, run } from '../../../store/dispatch'
import { repairRig } from '../../../store/dispatchCommands'
import { describeBreakdown } from '../../../store/runExceptions'
import { shop } from '../../../store/shop'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'
import { Caution } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { PositionField } from '../../features/dispatch/PositionField'
import { NotFound } from '../../NotFound'
import { navigate } from '../../router'
import { format } from '../../shopFormat'
import { saveWithToast } from '../../toast'
import { useForm } from '../../useForm'

/** A rig that has broken down, recorded by one tap before; here details can be added. */
export function Breakdown({ id }: { id: string }) {
  const row = run(id)
  const truck = row && rig(row.rig_id)
  return row && truck?.out_at ? <BreakdownForm row={row} truck={truck} since={truck.out_at} /> : <NotFound />
}

function BreakdownForm({ row, truck, since }: { row: Run; truck: Rig; since: string }) {
  const form = useForm({
    name: `trouble:${truck.id}:${since}`,
    blank: { note: truck.out_note, place: '', position: '' },
    check: ({ position }) => ({ position: !readPair(position) && en.dispatch.place.wrong }),
    save: ({ note, place, position }) => {
      const pair = readPair(position)
      return pair ? describeBreakdown(truck, note.trim(), { ...pair, place: place.trim() }) : null
    },
    back: { at: 'run', id: row.id },
  })
  const { field } = form
  return (
    <FormPage
      form={form}
      overline={truck.name}
      title={t.title}
      subtitle={t.since(format.value.moment(since))}
      saveLabel={t.add}
      before={<Advice truck={truck} onRepaired={() => navigate(form.back)} />}
    >
      <TextField multiline label={t.note} {...field('note')} />
      <TextField label={t.place} hint={t.placeHint} {...field('place')} />
      <PositionField label={t.position} {...field('position')} />
    </FormPage>
  )
}

/** Roadside cautions, a number to call, and a button for when the rig runs again. */
function Advice({ truck, onRepaired }: { truck: Rig; onRepaired: () => void }) {
  return (
    <>
      <Caution text={t.caution} />
      <p class="multiline">{t.hint}</p>
      <ButtonRow stacked>
        {shop.value?.phone && <Button wide label={t.call} href={telLink(shop.value.phone)} />}
        <Button
          wide
          label={t.runsAgain}
          onPress={() =>
            void saveWithToast(() => repairRig(truck.id), t.backOnRoad).then((saved) => saved && onRepaired())
          }
        />
      </ButtonRow>
    </>
  )
}
