import { useState } from 'preact/hooks'
import { stock as t } from '../../../domain/words/stock'
import { allParts } from '../../../store/catalog'
import { byBin, countStock, levelsAt, stockPlace } from '../../../store/stock'
import { TextField } from '../../components/Field'
import { FormPage } from '../../FormPage'
import { NotFound } from '../../NotFound'
import { useForm } from '../../useForm'
import { figure, figureOf, partName, typedFigure } from './stockText'

type Counts = Record<string, string>

const MOST_SHOWN = 60
const isBad = (text: string) => typedFigure(text) === null

/** A count of a place: what is known to be there, by bin, and any other part that is found. */
export function PlaceCount({ id }: { id: string }) {
  const row = stockPlace(id)
  return row ? <Counting id={id} name={row.name} /> : <NotFound />
}

function Counting({ id, name }: { id: string; name: string }) {
  const [words, setWords] = useState('')
  const levels = levelsAt(id)
  const form = useForm<{ counts: Counts }>({
    name: `stock-place-count:${id}`,
    blank: { counts: {} },
    check: ({ counts }) => ({
      ...Object.fromEntries(
        Object.entries(counts).map(([partId, text]) => [partId, isBad(text) && t.badCount]),
      ),
      nothing: typedOf(counts).length === 0 && !Object.values(counts).some(isBad) && t.nothingCounted,
    }),
    save: async ({ counts }) => {
      for (const [catalog_part_id, text] of typedOf(counts))
        await countStock({ catalog_part_id, place_id: id, counted: figureOf(text) })
    },
    saved: ({ counts }) => t.countsSaved(typedOf(counts).length),
    back: { at: 'stock-place', id },
  })
  const { counts } = form.fields
  const known = (partId: string) => levels.get(partId) ?? '0'
  const shown = allParts(words)
    .filter((part) => words || known(part.id) !== '0' || counts[part.id])
    .sort(byBin)
    .slice(0, MOST_SHOWN)
  return (
    <FormPage form={form} overline={name} title={t.countTitle} saveLabel={t.save}>
      <p class="hint">{t.countHint}</p>
      <TextField type="search" label={t.findPart} value={words} onValueChange={setWords} />
      {words && shown.length === 0 && <p>{t.noFound}</p>}
      {shown.map((part) => (
        <TextField
          key={part.id}
          decimal
          label={[part.bin, partName(part)].filter(Boolean).join(' · ')}
          hint={t.expected(figure(known(part.id)))}
          value={counts[part.id] ?? ''}
          error={form.errors[part.id]}
          onValueChange={(text) => form.update({ counts: { ...counts, [part.id]: text } })}
        />
      ))}
      {form.errors['nothing'] && <p role="alert">{form.errors['nothing']}</p>}
    </FormPage>
  )
}

const typedOf = (counts: Counts): [string, string][] =>
  Object.entries(counts).filter(([, text]) => text.trim() !== '' && !isBad(text))
