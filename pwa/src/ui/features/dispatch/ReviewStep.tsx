import type { Stop } from '../../../domain/contract'
import { hand as t } from '../../../domain/words/handover'
import { picturesAbout } from '../../../store/pictures/attachments'
import { Button, ButtonRow } from '../../components/Button'
import { Caution, DescriptionList, Section } from '../../components/Section'
import { RunningTotal } from '../../components/Totals'
import { reader } from '../../reader'
import { format } from '../../shopFormat'
import {
  asLeft,
  asLeftText,
  conditionOf,
  conditionText,
  dueAt,
  type HandOverDraft,
  madeSafe,
  madeSafeText,
  openFindings,
  type StepProps,
} from './handOverDraft'

/** The review before the phone is handed to the customer; where nobody signs, the hand-over ends here. */
export function ReviewStep({ row, draft: { fields, update } }: StepProps) {
  const findings = openFindings(row)
  return (
    <>
      <p class="multiline">{fields.nobody ? t.nobodyHint : t.turnHint}</p>
      {findings.length > 0 && (
        <Section title={t.open}>
          {findings.map(({ id, words, consequence }) => (
            <p key={id} class="multiline">
              <b>{words}</b>
              {consequence && `\n${consequence}`}
            </p>
          ))}
          <Caution text={t.openCaution} />
        </Section>
      )}
      <Recap row={row} fields={fields} />
      <ButtonRow stacked>
        <Button
          wide
          label={t.nobody}
          pressed={fields.nobody}
          onPress={() => update({ nobody: !fields.nobody })}
        />
      </ButtonRow>
    </>
  )
}

/** What is stored and signed, as text, with the amount due if any. */
export function Recap({ row, fields }: { row: Stop; fields: HandOverDraft }) {
  const t = reader.value.hand
  const due = dueAt(row)
  const pictures = picturesAbout('stop', row.id).length
  return (
    <>
      {due !== null && <RunningTotal name={t.due} amount={format.value.money(due)} breakdown={[t.dueHint]} />}
      <Section title={t.recap}>
        <DescriptionList
          items={[
            [t.pictures, pictures > 0 ? t.taken(pictures) : ''],
            [t.facts.condition, conditionText(conditionOf(fields))],
            [t.meter, fields.hours && t.hoursRead(fields.hours)],
            [t.keys, fields.keys],
            [t.fuel, fields.fuel === 'unknown' ? '' : t.fuels[fields.fuel]],
            [t.runs, fields.runs && (fields.runs === 'yes' ? t.runsYes : t.runsNo)],
            [t.accessories, fields.accessories],
            [t.facts.made, row.kind === 'pickup' ? madeSafeText(madeSafe(fields)) : ''],
            [t.facts.left, row.kind === 'pickup' ? '' : asLeftText(asLeft(fields))],
          ]}
        />
      </Section>
    </>
  )
}
