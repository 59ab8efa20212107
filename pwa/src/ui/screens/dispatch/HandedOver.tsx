import { en } from '../../../domain/words'
import { handOversOf, handSheetOf, printHandOver, stop } from '../../../store/dispatch'
import { signature } from '../../../store/quotes'
import { permissions } from '../../../store/session'
import { InkPicture } from '../../components/Ink'
import { Facts, Part } from '../../components/Part'
import { figures } from '../../shopFigures'
import { Nowhere } from '../Nowhere'
import { Pictures } from '../pictures/Pictures'
import { Sheet } from '../Sheet'
import { aboutStop } from './about'
import { conditionWords, leftWords, madeWords } from './handing'
import { PrintKeys } from './PrintKeys'

const its = en.dispatch.hand

/** What was handed over at a stop, as it was signed. */
export function HandedOver({ id }: { id: string }) {
  const row = stop(id)
  const overs = handOversOf(id)
  if (!row || overs.length === 0) return <Nowhere />
  const { moment, money } = figures.value
  return (
    <Sheet over={aboutStop(row).name} title={its.past} back={{ at: 'stop', id }}>
      {overs.map((over) => {
        const ink = over.signature_id === null ? undefined : signature(over.signature_id)
        return (
          <Part key={over.id} title={moment(over.at)}>
            <Facts
              facts={[
                [its.facts.condition, conditionWords(over.condition)],
                [its.meter, over.meter_doubt && its.doubts[over.meter_doubt]],
                [its.keys, over.keys],
                [its.fuel, over.fuel === 'unknown' ? '' : its.fuels[over.fuel]],
                [its.runs, over.runs === null ? '' : over.runs ? its.runsYes : its.runsNo],
                [its.accessories, over.accessories],
                [its.facts.made, madeWords(over.made_safe)],
                [its.facts.left, leftWords(over.as_left)],
                [its.facts.heard, over.acknowledged.join('\n')],
                [its.due, over.amount_due_minor === null ? '' : money(over.amount_due_minor)],
                [its.facts.by, over.signer_name || its.unsigned],
              ]}
            />
            {ink && (
              <InkPicture
                strokes={ink.strokes}
                width={ink.width}
                height={ink.height}
                label={its.signature(ink.signer_name)}
              />
            )}
            {ink && over.matches !== null && (
              <p class="lines">{over.matches ? its.matches : its.unmatched}</p>
            )}
            {ink && permissions.value.has('drive_runs') && (
              <PrintKeys
                words={its.paper}
                openWords={its.openPaper}
                printout={handSheetOf(over.id)}
                onAsk={() => printHandOver(over.id)}
              />
            )}
          </Part>
        )
      })}
      <Pictures about_kind="stop" about_id={id} />
    </Sheet>
  )
}
