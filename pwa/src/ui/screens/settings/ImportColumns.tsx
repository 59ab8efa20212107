import { importBook as t } from '../../../domain/words/importBook'
import type { ImportColumn } from '../../../store/customerImports'
import { SelectField } from '../../components/Field'
import { Section } from '../../components/Section'

interface Props {
  columns: readonly ImportColumn[]
  /** What a column may be. */
  fields: readonly string[]
  namesMissing: boolean
  onChange: (place: number, field: string) => void
}

/** Which column of the file is what, each with its first values. */
export function ImportColumns({ columns, fields, namesMissing, onChange }: Props) {
  if (columns.length === 0) return null
  const options = [['', t.leftOut], ...fields.map((field) => [field, t.fields[field] ?? field])] as const
  return (
    <Section title={t.columns} hint={t.columnsHint}>
      {namesMissing && (
        <p class="field-error" role="alert">
          {t.namesMissing}
        </p>
      )}
      {columns.map(({ place, header, field, examples }) => (
        <div key={place}>
          <SelectField
            label={header || t.column(place + 1)}
            value={field === 'skip' ? '' : field}
            options={options as readonly (readonly [string, string])[]}
            onValueChange={(chosen) => onChange(place, chosen)}
          />
          {examples.length > 0 && <p class="hint">{examples.join(' · ')}</p>}
        </div>
      ))}
    </Section>
  )
}
