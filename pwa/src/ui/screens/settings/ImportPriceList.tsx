import { priceLists as t } from '../../../domain/words/stock'
import { allOf } from '../../../store/rows/selectors'
import { Button, PrimaryButton } from '../../components/Button'
import { SelectField } from '../../components/Field'
import { FileButton } from '../../components/Picture'
import { BooleanRadioGroup, RadioGroup } from '../../components/RadioGroup'
import { Section } from '../../components/Section'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'
import { PriceListResult } from './PriceListResult'
import { type PriceListState, usePriceList } from './usePriceList'

const number = (count: number) => format.value.number(String(count))

/** The import of a supplier's price list: choose a file, see what it would do, import. */
export function ImportPriceList() {
  const state = usePriceList()
  const { supplierId, check, done, busy, trouble } = state
  const suppliers = allOf('supplier').filter(({ archived }) => !archived)
  const rows = check ? check.new + check.changed + check.same : 0
  return (
    <ShopPage
      title={t.importTitle}
      dock={
        check &&
        !done &&
        rows > 0 && <PrimaryButton label={t.start(number(rows))} busy={busy !== null} onPress={state.start} />
      }
    >
      <p role="status">{busy === 'upload' ? t.reading : busy === 'check' ? t.checking : ''}</p>
      {trouble && (
        <div class="empty-state" role="alert">
          <b>{trouble}</b>
          <Button label={t.again} onPress={state.retry} />
        </div>
      )}
      {suppliers.length === 0 ? (
        <p>{t.noSupplier}</p>
      ) : (
        <SelectField
          label={t.supplier}
          value={supplierId}
          options={[['', ''], ...suppliers.map(({ id, name }) => [id, name] as const)]}
          onValueChange={state.chooseSupplier}
        />
      )}
      {done && (
        <Section title={t.done}>
          <p>{t.doneText(number(done.new), number(done.changed))}</p>
        </Section>
      )}
      {check && !done && (
        <>
          <ListColumns state={state} />
          <PriceListResult check={check} />
          <Options state={state} />
        </>
      )}
      {supplierId && (
        <FileButton
          label={check || done ? t.chooseAgain : t.choose}
          accept=".csv,text/csv"
          onFiles={([file]) => file && state.take(file)}
        />
      )}
    </ShopPage>
  )
}

function ListColumns({ state: { check, options, change } }: { state: PriceListState }) {
  if (!check) return null
  const fields = [['', t.leftOut], ...check.fields.map((field) => [field, t.fields[field] ?? field])] as [
    string,
    string,
  ][]
  return (
    <Section title={t.columns}>
      {check.numbers_missing && (
        <p class="field-error" role="alert">
          {t.numbersMissing}
        </p>
      )}
      {check.columns.map(({ place, header, field, examples }) => (
        <div key={place}>
          <SelectField
            label={header || t.unnamed(place + 1)}
            value={field}
            options={fields}
            onValueChange={(chosen) => change({ fields: { ...options.fields, [place]: chosen } })}
          />
          {examples.length > 0 && <p class="hint">{examples.join(' · ')}</p>}
        </div>
      ))}
    </Section>
  )
}

const MARKS = (['', '.', ','] as const).map((value) => ({ value, label: t.marks[value] }))

function Options({ state: { check, options, change } }: { state: PriceListState }) {
  if (!check) return null
  return (
    <>
      <RadioGroup
        label={t.mark}
        value={options.mark}
        options={MARKS}
        onValueChange={(mark) => change({ mark })}
      />
      {check.gone > 0 && (
        <BooleanRadioGroup
          label={t.replace}
          value={options.replace}
          options={[
            [true, t.replaces],
            [false, t.keeps],
          ]}
          onValueChange={(replace) => change({ replace })}
        />
      )}
      {check.catalog_changed > 0 && (
        <BooleanRadioGroup
          label={t.updateCatalog}
          value={options.update_catalog}
          options={[
            [false, t.stay],
            [true, t.follow(check.catalog_changed)],
          ]}
          onValueChange={(update_catalog) => change({ update_catalog })}
        />
      )}
    </>
  )
}
