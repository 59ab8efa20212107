import { asNumber, isTooCoarse, uncertaintyRatio } from '../../../domain/bench/decisions'
import { limitsOf, uncertaintyOf } from '../../../domain/bench/readings'
import { UNITS, unitSymbol, unitsOf } from '../../../domain/numbers/quantities'
import { quantities, unitWithQuantity } from '../../../domain/words/quantities'
import { measure as t } from '../../../domain/words/readings'
import { gauge, gauges } from '../../../store/gauges'
import { Button, ButtonRow } from '../../components/Button'
import { SelectField, TextField } from '../../components/Field'
import { currentRoute } from '../../router'
import { format } from '../../shopFormat'
import type { FormState } from '../../useForm'
import { bladed, isReadable, measuredOf, type ReadingFormFields, withGauge } from './readingFields'
import { figure, shown, sureText } from './readingText'

type Form = Pick<FormState<ReadingFormFields>, 'fields' | 'field' | 'update' | 'errors'>

/** Every unit, by what it measures. */
const UNIT_OPTIONS = (Object.keys(quantities) as (keyof typeof quantities)[]).flatMap((quantity) =>
  unitsOf(quantity as Parameters<typeof unitsOf>[0]).map(
    (unit) => [unit, unitWithQuantity(unitSymbol(unit), quantities[quantity])] as const,
  ),
)

/** The gauge, then what it showed: a figure, or two blades. */
export function MeasureFields({ form }: { form: Form }) {
  const { fields, field, update, errors } = form
  const chosen = gauge(fields.gaugeId)
  const symbol = fields.unit && unitSymbol(fields.unit)
  const options = gauges().map(({ id, name }) => [id, name] as const)
  return (
    <>
      {options.length > 0 && (
        <SelectField
          label={t.gauge}
          value={fields.gaugeId}
          options={[['', t.noGauge], ...options]}
          error={errors['gaugeId']}
          onValueChange={(id) => update(withGauge(gauge(id)))}
        />
      )}
      <div class="measure-pair">
        {!chosen && <SelectField label={t.unit} options={[['', ''], ...UNIT_OPTIONS]} {...field('unit')} />}
        {!bladed(fields) && (
          <TextField
            decimal
            label={symbol ? `${t.value}, ${symbol}` : t.value}
            enterKey="done"
            {...field('value')}
          />
        )}
      </div>
      {bladed(fields) && (
        <div class="measure-pair">
          <TextField decimal label={`${t.goes}, ${symbol}`} {...field('goes')} />
          <TextField decimal label={`${t.stops}, ${symbol}`} {...field('stops')} />
        </div>
      )}
      {bladed(fields) && <Blades form={form} />}
      {chosen ? (
        <p class="hint">
          {[
            t.gaugeHint(
              chosen.name,
              chosen.resolution && figure(chosen.resolution, chosen.unit),
              sureText(chosen),
            ),
            chosen.calibrated_on && t.calibrated(format.value.day(chosen.calibrated_on)),
          ]
            .filter(Boolean)
            .join(', ')}
        </p>
      ) : (
        <ButtonRow>
          <Button label={t.newGauge} to={{ at: 'new-gauge', ...backTo() }} />
        </ButtonRow>
      )}
      <GaugeCautions fields={fields} />
    </>
  )
}

/** The job to come back to from a new gauge. */
function backTo(): { jobId?: string } {
  const route = currentRoute.value
  return route.at === 'job-reading' ? { jobId: route.id } : {}
}

/** The blades of the set: a press on one fills the larger empty field, so that nothing has to be typed. */
function Blades({ form: { fields, update } }: { form: Form }) {
  const blades = gauge(fields.gaugeId)?.blades ?? []
  if (!blades.length) return null
  const press = (blade: string) => update(fields.goes ? { stops: blade } : { goes: blade })
  return (
    <ButtonRow>
      {blades.map((blade) => {
        const text = shown(blade)
        return (
          <Button
            key={blade}
            label={text}
            pressed={[fields.goes, fields.stops].includes(text)}
            onPress={() => press(text)}
          />
        )
      })}
    </ButtonRow>
  )
}

/** What speaks against a gauge for a limit, before anybody measures. */
function GaugeCautions({ fields }: { fields: ReadingFormFields }) {
  const reading = measuredOf(fields)
  const { gauge: chosen, limit } = reading
  if (!chosen || !limit || !isReadable(reading)) return null
  if (UNITS.get(chosen.unit)?.quantity !== UNITS.get(limit.unit)?.quantity)
    return (
      <p class="notice" role="note">
        {t.cautions.otherQuantity}
      </p>
    )
  const uncertainty = uncertaintyOf(chosen)
  const [low, high] = limitsOf(reading)
  const ratio = uncertainty && uncertaintyRatio(uncertainty, low, high)
  return (
    <>
      {ratio && uncertainty && isTooCoarse(uncertainty, low, high) && (
        <p class="notice" role="note">
          {t.cautions.tooCoarse(format.value.number((Math.floor(asNumber(ratio) * 10) / 10).toFixed(1)))}
        </p>
      )}
      {chosen.unit !== limit.unit && (
        <p class="notice" role="note">
          {t.cautions.otherUnit(unitSymbol(chosen.unit), unitSymbol(limit.unit))}
        </p>
      )}
    </>
  )
}
