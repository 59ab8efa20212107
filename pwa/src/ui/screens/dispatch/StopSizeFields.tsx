import type { Command, Job, JobStopKind, Machine } from '../../../domain/contract'
import { unitOf } from '../../../domain/dispatch/rigFields'
import { faultsOfMachine } from '../../../domain/machines/machineFaults'
import { similarSize } from '../../../domain/machines/similarSize'
import { en } from '../../../domain/words/index'
import { knownMachines, machine } from '../../../store/machines'
import { editArgs } from '../../../store/queue/commands'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { units } from '../../features/dispatch/stopText'
import {
  SizeFields,
  type SizeFormFields,
  sizeError,
  toSize,
  toSizeFormFields,
  unreadSize,
} from '../../features/machines/SizeFields'
import { machineName } from '../../names'
import type { FieldErrors } from '../../useForm'

const t = en.dispatch.size
const ASKED = ['mass_kg', 'length_cm'] as const

/** The machine of a pickup or return whose weight or length nobody has noted, if the member may note it. */
export function unmeasuredMachine(row: Job, kind: JobStopKind): Machine | undefined {
  const what = machine(row.machine_id)
  const asks = kind !== 'visit' && permissions.value.has('manage_machines')
  return asks && what && ASKED.some((name) => what[name] === null) ? what : undefined
}

/** The text of a figure in its field, with its unit where that was not typed. */
const figureWords = (name: string, text: string) =>
  /\D$/u.test(text) ? text : `${text} ${unitOf(name, units())}`

interface Props {
  machine: Machine
  size: SizeFormFields
  errors: Readonly<Record<string, string | undefined>>
  onSize: (size: SizeFormFields) => void
}

/** Asks for weight and length of a machine that is to be loaded, with the shop's own figures of machines like it. */
export function StopSizeFields({ machine: what, size, errors, onSize }: Props) {
  const similar = similarSize(what, knownMachines())
  const offered = similar && toSizeFormFields({ ...what, ...similar.size }, ASKED)
  return (
    <>
      <SizeFields
        names={ASKED}
        hint={t.asked}
        size={{ ...toSizeFormFields(what, ASKED), ...size }}
        errors={errors}
        onSize={onSize}
      />
      {similar && offered && (
        <ButtonRow stacked>
          <Button
            wide
            label={t.take(ASKED.flatMap((name) => (offered[name] ? [figureWords(name, offered[name])] : [])))}
            hint={similar.same ? t.sameModel(machineName(what)) : t.sameKind(similar.count, what.kind)}
            onPress={() => onSize({ ...size, ...offered })}
          />
        </ButtonRow>
      )}
    </>
  )
}

/** Errors by measure: what cannot be parsed, and what the server would refuse. */
export function stopSizeErrors(what: Machine, size: SizeFormFields): FieldErrors {
  const refused = faultsOfMachine({ kind: what.kind, ...toSize(size, what) }).map(({ field }) => field)
  return Object.fromEntries([...refused, ...unreadSize(size)].map((field) => [field, sizeError(field)]))
}

/** The command that notes the measures of the machine; none where nothing was typed. */
export function sizeCommands(what: Machine | undefined, size: SizeFormFields): Command[] {
  const args = what && editArgs(what, toSize(size, what))
  return args ? [{ name: 'edit_machine', args }] : []
}
