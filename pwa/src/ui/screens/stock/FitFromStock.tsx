import type { PartNeed } from '../../../domain/contract'
import { parts } from '../../../domain/words/parts'
import { stock as t } from '../../../domain/words/stock'
import { allParts, catalogPart, partsLike } from '../../../store/catalog'
import { byId } from '../../../store/rows/selectors'
import { fitFromStock, levelsOfPart, myTrucks, places } from '../../../store/stock'
import { SelectField, TextField } from '../../components/Field'
import { Caution } from '../../components/Section'
import { FormPage } from '../../FormPage'
import { aboveText } from '../../features/parts/partText'
import { NotFound } from '../../NotFound'
import { useForm } from '../../useForm'
import { figure, figureOf, isAboveZero, missingPlace, partName } from './stockText'
import { ThereNow } from './ThereNow'

/** A part that a job needs, taken from a shelf or the truck and fitted: without a signal too. */
export function FitFromStock({ id }: { id: string }) {
  const need = byId('part_need', id)
  return need ? <Fitting need={need} /> : <NotFound />
}

function Fitting({ need }: { need: PartNeed }) {
  const like = need.catalog_part_id ? [] : partsLike(need)
  const known = need.catalog_part_id ?? like[0]?.id ?? ''
  const form = useForm<{ part: string; place: string; quantity: string }>({
    name: `fit-from-stock:${need.id}`,
    blank: { part: known, place: likelyPlace(known), quantity: figure(need.quantity) },
    check: ({ part, place, quantity }) => ({
      part: !part && t.choosePart,
      place: missingPlace(place),
      quantity: !isAboveZero(quantity) && t.badQuantity,
    }),
    save: ({ part, place, quantity }) =>
      fitFromStock({
        need_id: need.id,
        catalog_part_id: part,
        place_id: place,
        quantity: figureOf(quantity),
      }),
    saved: t.fitted,
    back: { at: 'part', id: need.id },
  })
  const { part: partId, place, quantity } = form.fields
  const part = catalogPart(partId)
  const levels = levelsOfPart(partId)
  const there = places().map(({ id, name }) => [id, `${name}: ${figure(levels.get(id) ?? '0')}`] as const)
  const chosen = new Set(like.map(({ id }) => id))
  const choices = [...like, ...allParts().filter(({ id }) => !chosen.has(id))]
  const above = aboveText(need)
  return (
    <FormPage
      form={form}
      overline={need.description}
      title={t.fitTitle}
      saveLabel={above ? parts.fitAnyway : t.fit}
    >
      {above && <Caution text={above} />}
      {!need.catalog_part_id && (
        <>
          <p class="hint">{t.notKnown}</p>
          <SelectField
            label={t.part}
            value={partId}
            error={form.errors['part']}
            options={[['', ''], ...choices.map((each) => [each.id, partName(each)] as const)]}
            onValueChange={(id) => form.update({ part: id, place: likelyPlace(id) || place })}
          />
        </>
      )}
      <SelectField label={t.at} options={[['', ''], ...there]} {...form.field('place')} />
      <TextField decimal label={t.quantity} {...form.field('quantity')} />
      {part && <ThereNow part={part} place={place} taken={quantity} />}
    </FormPage>
  )
}

/** The member's own truck if the part is there, else a place where it is, else the truck. */
function likelyPlace(partId: string): string {
  const levels = levelsOfPart(partId)
  const has = ({ id }: { id: string }) => Number(levels.get(id) ?? 0) > 0
  const trucks = myTrucks()
  return (trucks.find(has) ?? places().find(has) ?? trucks[0] ?? places()[0])?.id ?? ''
}
