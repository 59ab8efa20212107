import type { Rig } from '../../../domain/contract'
import { DECK, TRAILER, TRUCK, unitOf } from '../../../domain/dispatch/rigFields'
import { rig as t } from '../../../domain/words/rig'
import { rig } from '../../../store/dispatch'
import { addRig, editRig } from '../../../store/dispatchCommands'
import { members } from '../../../store/shop'
import { Button, ButtonRow } from '../../components/Button'
import { SelectField, TextField } from '../../components/Field'
import { BooleanRadioGroup } from '../../components/RadioGroup'
import { Section } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { units } from '../../features/dispatch/stopText'
import { NotFound } from '../../NotFound'
import { useOriginal } from '../../useDraft'
import { useForm } from '../../useForm'
import { LoadingFields, RigNumberFields, ShiftFields, YES_NO } from './RigFormSections'
import { type RigFormFields, toRigFields, toRigFormFields, validateRig } from './rigFormFields'

export function NewRig() {
  return <RigForm seen={null} />
}

export function ChangeRig({ id }: { id: string }) {
  const row = rig(id)
  const seen = useOriginal(`rig:${id}`, row)
  return row && seen ? <RigForm key={id} seen={seen} /> : <NotFound back={{ at: 'plan' }} />
}

/** A truck with its trailer, in the shop's units, from nameplates and scale. */
function RigForm({ seen }: { seen: Rig | null }) {
  const form = useForm<RigFormFields>({
    name: `rig:${seen?.id ?? 'new'}`,
    blank: toRigFormFields(seen),
    check: validateRig,
    save: (fields) => {
      const wanted = toRigFields(fields, seen)
      return seen ? editRig(seen, wanted) : addRig(wanted)
    },
    back: { at: 'plan' },
  })
  const { field } = form
  return (
    <FormPage
      form={form}
      overline={seen ? t.title : ''}
      title={seen ? seen.name : t.newTitle}
      subtitle={t.hint}
      saveLabel={t.save}
    >
      <TextField label={t.name} {...field('name')} />
      <SelectField
        label={t.driver}
        options={[
          ['', t.noDriver],
          ...members.value.filter(({ active }) => active).map(({ id, name }) => [id, name] as const),
        ]}
        {...field('driver')}
      />
      <TextField
        decimal
        label={t.payload(unitOf('payload_kg', units()))}
        hint={t.payloadHint}
        {...field('payload_kg')}
      />
      <Section title={t.deck}>
        <RigNumberFields names={DECK} form={form} />
      </Section>
      <LoadingFields form={form} />
      <ShiftFields form={form} />
      <Section title={t.trailer}>
        <BooleanRadioGroup horizontal label={t.tows} options={YES_NO} {...field('tows')} />
        {form.fields.tows && <RigNumberFields names={TRAILER} form={form} />}
      </Section>
      <Section title={t.truck}>
        <RigNumberFields names={TRUCK} form={form} />
      </Section>
      {seen && (
        <ButtonRow stacked>
          <Button
            wide
            label={t.away}
            onPress={() => void form.remove({ action: () => putAway(seen), text: t.putAway })}
          />
        </ButtonRow>
      )}
    </FormPage>
  )
}

async function putAway(row: Rig) {
  await editRig(row, { active: false })
  return () => editRig({ ...row, active: false }, { active: true })
}
