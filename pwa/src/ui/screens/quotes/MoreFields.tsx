import type { Finding, LineKind, Quote, QuoteLine } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { linesOf } from '../../../store/quotes'
import { permissions } from '../../../store/session/session'
import { SelectField, TextField } from '../../components/Field'
import { More } from '../../components/More'
import { RadioGroup } from '../../components/RadioGroup'
import { WorkName } from '../../features/quotes/WorkName'
import type { FormState } from '../../useForm'
import { AskedFields } from './AskedFields'
import { DiscountFields } from './DiscountFields'
import { FindingFields } from './FindingFields'
import type { LineFormFields } from './lineFormFields'
import { workNamed } from './PricingFields'

const t = en.quote.line
const names = t.moreNames

interface Props {
  form: FormState<LineFormFields>
  row: Quote
  kind: LineKind
  seen: QuoteLine | null
  machineKind: string
  findings: readonly Finding[]
  onFinding: (id: string) => void
}

const IN_VIEW: ReadonlySet<string> = new Set<keyof LineFormFields>([
  'words',
  'hours',
  'quantity',
  'price',
  'distance',
])

/** What a line may have besides what it needs. */
export function MoreFields(props: Props) {
  const { form, kind, findings, onFinding } = props
  const { field, errors } = form
  const priced = kind !== 'discount'
  const isInside = (name: string) => (priced ? !IN_VIEW.has(name) : name === 'included')
  return (
    <More
      label={t.more}
      names={namesOf(props)}
      invalid={Object.entries(errors).some(([name, error]) => error && isInside(name))}
    >
      {kind === 'labor' && <MoreOfLabor {...props} />}
      {kind === 'part' && <MoreOfPart {...props} />}
      {priced && <DiscountFields {...form} kind={kind} />}
      {(kind === 'labor' || kind === 'part') && <AskedFields {...props} />}
      {priced && <FindingFields form={form} findings={findings} onFinding={onFinding} />}
      {priced && (
        <SelectField
          label={t.tax}
          options={[
            ['', t.taxUsual],
            ['yes', t.taxYes],
            ['no', t.taxNo],
          ]}
          value={form.fields.taxed ?? ''}
          onValueChange={(taxed) => form.update({ taxed: taxed as '' | 'yes' | 'no' })}
        />
      )}
      <TextField multiline label={t.included} hint={t.includedHint} {...field('included')} />
    </More>
  )
}

/** The names of what is in it, as one sentence. */
function namesOf({ row, kind, seen, findings }: Props): string {
  const { operation, set, number, cost, core, off, work, tax, finding, rank, later, included } = names
  const own = {
    labor: [operation, set],
    part: [number, maySetCost(row) && cost, core],
  }[kind as 'labor' | 'part']
  const works = own && linesOf(row.id).some(({ id }) => id !== seen?.id)
  const all = [...(own ?? []), off, works && work, findings.length > 0 && finding, rank, later, tax]
  const said = [...(kind === 'discount' ? [] : all), included].filter(Boolean).join(', ')
  return said.charAt(0).toUpperCase() + said.slice(1)
}

const maySetCost = ({ basis }: Quote) => permissions.value.has('see_cost') && basis.part_bands.length > 0

function MoreOfLabor({ form, machineKind }: Props) {
  const { fields, update, field } = form
  return (
    <>
      <WorkName
        operation={fields.operation}
        machineKind={machineKind}
        onOperation={(operation) => update(fields.byHand ? { operation } : workNamed(operation, machineKind))}
      />
      <RadioGroup
        horizontal
        label={t.priced}
        options={[
          { value: 'hours', label: t.byHours },
          { value: 'set', label: t.priceSet },
        ]}
        {...field('priced')}
      />
    </>
  )
}

function MoreOfPart({ form, row }: Props) {
  const { fields, update, field, errors } = form
  return (
    <>
      <TextField
        label={t.partNumber}
        autocapitalize="characters"
        value={fields.partNumber ?? ''}
        error={errors['partNumber']}
        onValueChange={(partNumber) => update({ partNumber })}
      />
      {maySetCost(row) && (
        <TextField
          decimal
          label={t.unitCost}
          hint={t.costHint}
          value={fields.unitCost}
          error={errors['unitCost']}
          onValueChange={(unitCost) => update({ unitCost, priced: unitCost.trim() ? 'cost' : 'set' })}
        />
      )}
      <TextField decimal label={t.core} {...field('core')} />
    </>
  )
}
