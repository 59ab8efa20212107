import { importBook as t } from '../../../domain/words/importBook'
import type { ImportCheck, ImportOptions } from '../../../store/customerImports'
import { CheckboxGroup } from '../../components/CheckboxGroup'
import { ListItem, OpeningItem } from '../../components/List'
import { BooleanRadioGroup } from '../../components/RadioGroup'
import { Section } from '../../components/Section'
import { format } from '../../shopFormat'

interface Props {
  check: ImportCheck
  options: ImportOptions
  onChange: (options: Partial<ImportOptions>) => void
}

const number = (count: number) => format.value.number(String(count))

/** What an import would do: the counts, what is already there, what cannot be added and why. */
export function ImportCheckResult({ check, options, onChange }: Props) {
  if (check.names_missing) return null
  const { known_rows: known, broken_rows: broken } = check
  return (
    <Section title={t.outcome} end={t.rows(number(check.rows))}>
      <ListItem title={t.toAdd} value={number(check.to_add)} />
      {check.similar > 0 && (
        <BooleanRadioGroup
          label={t.similar(number(check.similar))}
          value={options.add_similar}
          options={[
            [false, t.similarLeft],
            [true, t.similarAdd],
          ]}
          horizontal
          onValueChange={(add_similar) => onChange({ add_similar })}
        />
      )}
      <KnownRows check={check} options={options} onChange={onChange} />
      {known.length < check.known && <p class="hint">{t.only(number(known.length), number(check.known))}</p>}
      {broken.length > 0 && (
        <OpeningItem title={t.broken} value={number(check.broken)} details={t.brokenHint}>
          {broken.map(({ row, name, field, words }) => (
            <ListItem
              key={`${row} ${field}`}
              title={t.row(row, name)}
              details={t.field(t.fields[field] ?? field, words)}
            />
          ))}
        </OpeningItem>
      )}
      {check.notices.map((notice) => (
        <p class="hint" key={notice}>
          {notice}
        </p>
      ))}
    </Section>
  )
}

function KnownRows({ check: { known, known_rows }, options, onChange }: Props) {
  if (known === 0 && options.add_rows.length === 0) return null
  const listed = known_rows.filter(({ in_import }) => !in_import)
  return (
    <OpeningItem title={t.known} value={number(known)} details={t.knownHint}>
      <CheckboxGroup
        label={t.addAnyway}
        values={[]}
        options={listed.map(({ row, name, known_name, why }) => ({
          value: String(row),
          label: t.row(row, name),
          hint: t.as(why.join(', '), known_name),
        }))}
        onValuesChange={(rows) => onChange({ add_rows: [...options.add_rows, ...rows.map(Number)] })}
      />
    </OpeningItem>
  )
}
