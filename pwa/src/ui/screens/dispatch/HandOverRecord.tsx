import type { HandOver } from '../../../domain/contract'
import { hand as t } from '../../../domain/words/handover'
import { en } from '../../../domain/words/index'
import { handOversOf, stop } from '../../../store/dispatch'
import { handSheetOf, printHandOver } from '../../../store/dispatchCommands'
import { meterReading } from '../../../store/machines'
import { signature } from '../../../store/quotes'
import { permissions } from '../../../store/session/session'
import { DescriptionList, Section } from '../../components/Section'
import { SignatureImage } from '../../components/SignatureCanvas'
import { asLeftText, conditionText, madeSafeText } from '../../features/dispatch/handOverDraft'
import { PrintButtons } from '../../features/dispatch/PrintButtons'
import { aboutStop } from '../../features/dispatch/stopText'
import { Pictures } from '../../features/pictures/Pictures'
import { NotFound } from '../../NotFound'
import { ShopPage } from '../../ShopPage'
import { format } from '../../shopFormat'

/** The meter as it was signed, and what is doubtful about it. */
function meterText({ reading_id, meter_anomaly }: HandOver): string {
  const read = reading_id === null ? undefined : meterReading(reading_id)
  return en.app.joined([
    read && t.hoursRead(format.value.number(read.hours)),
    meter_anomaly && t.anomalies[meter_anomaly],
  ])
}

/** The record of a hand-over, as it was signed. */
export function HandOverRecord({ id }: { id: string }) {
  const row = stop(id)
  const overs = handOversOf(id)
  if (!row || overs.length === 0) return <NotFound />
  const { moment, money } = format.value
  return (
    <ShopPage overline={aboutStop(row).name} title={t.past} back={{ at: 'stop', id }}>
      {overs.map((over) => {
        const ink = over.signature_id === null ? undefined : signature(over.signature_id)
        return (
          <Section key={over.id} title={moment(over.at)}>
            <DescriptionList
              items={[
                [t.facts.condition, conditionText(over.condition)],
                [t.meter, meterText(over)],
                [t.keys, over.keys],
                [t.fuel, over.fuel === 'unknown' ? '' : t.fuels[over.fuel]],
                [t.runs, over.runs === null ? '' : over.runs ? t.runsYes : t.runsNo],
                [t.accessories, over.accessories],
                [t.facts.made, madeSafeText(over.made_safe)],
                [t.facts.left, asLeftText(over.as_left)],
                [t.facts.heard, over.acknowledged.join('\n')],
                [t.due, over.amount_due_minor === null ? '' : money(over.amount_due_minor)],
                [t.facts.by, over.signer_name || t.unsigned],
              ]}
            />
            {ink && (
              <SignatureImage
                strokes={ink.strokes}
                width={ink.width}
                height={ink.height}
                label={t.signature(ink.signer_name)}
              />
            )}
            {ink && over.matches !== null && (
              <p class="multiline">{over.matches ? t.matches : t.unmatched}</p>
            )}
            {ink && permissions.value.has('drive_runs') && (
              <PrintButtons
                words={t.makeSheet}
                openWords={t.openSheet}
                printout={handSheetOf(over.id)}
                onAsk={() => printHandOver(over.id)}
              />
            )}
          </Section>
        )
      })}
      <Pictures about_kind="stop" about_id={id} />
    </ShopPage>
  )
}
