import type { LineKind } from '../../../domain/contract'
import type { ShopPrices } from '../../../domain/quotes/book'
import { priceLine } from '../../../domain/quotes/prices'
import { en } from '../../../domain/words'
import { type EarlierLine, earlierLines } from '../../../store/earlierLines'
import { machine } from '../../../store/machines'
import { ListItem } from '../../components/List'
import { Serial } from '../../components/Serial'
import { machineName } from '../../names'
import { format } from '../../shopFormat'
import type { FormState } from '../../useForm'
import { type LineFormFields, toLineFormFields } from './lineFormFields'

const t = en.quote.line

interface Props {
  kind: LineKind
  form: FormState<LineFormFields>
  book: ShopPrices
  machineKind: string
}

/** Parts or labor of earlier quotes, under the field being typed in: one tap fills the form. */
export function UsedBefore({ kind, form: { fields, update }, book, machineKind }: Props) {
  if (kind !== 'labor' && kind !== 'part') return null
  const near = earlierLines(kind, fields.words, machineKind).filter(
    ({ line }) => line.words !== fields.words.trim(),
  )
  if (!near.length || fields.taken === fields.words) return null
  const take = ({ line }: EarlierLine) => {
    const {
      words,
      priced,
      hours,
      operation,
      quantity,
      unitCost,
      price,
      core,
      partNumber = '',
      rateKey,
      work = '',
      workRate = '',
    } = toLineFormFields(line, fields, format.value)
    const filled =
      kind === 'part'
        ? { quantity, unitCost, price, core, partNumber }
        : {
            hours,
            operation,
            price,
            byHand: true,
            work,
            workRate,
            rateKey: book.labor_rates.some(({ key }) => key === rateKey) ? rateKey : '',
          }
    update({ words, taken: words, priced, ...filled })
  }
  return (
    <ul class="list used-before" aria-label={t.usedBefore}>
      {near.map((each) => (
        <li key={each.line.id}>
          <ListItem
            title={each.line.words}
            value={amountOf(each.line, book)}
            details={
              <>
                <Serial text={each.line.part_number} /> {machineName(machine(each.machineId))}
              </>
            }
            onPress={() => take(each)}
          />
        </li>
      ))}
    </ul>
  )
}

/** The price of one part by today's mark-up, or the hours of labor. */
function amountOf(line: EarlierLine['line'], book: ShopPrices): string | undefined {
  if (line.kind === 'labor' && line.hours != null)
    return en.timeReports.amount(format.value.number(line.hours))
  const price = priceLine(book, { ...line, rate_key: null })
  return price ? format.value.money(price.unit ?? price.amount) : undefined
}
