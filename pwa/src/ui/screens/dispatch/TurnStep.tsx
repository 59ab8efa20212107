import type { Stop } from '../../../domain/rows'
import { en } from '../../../domain/words'
import { attachmentsAbout } from '../../../store/attachments'
import { Caution, Facts, Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { Tally } from '../../components/Sums'
import { figures } from '../../shopFigures'
import type { StepProps } from './HandOver'
import {
  asLeft,
  conditionOf,
  conditionWords,
  dueAt,
  type Handing,
  leftWords,
  madeSafe,
  madeWords,
  openFindings,
} from './handing'

const its = en.dispatch.hand

/** The member's last look before the phone is turned round; where nobody signs, it ends here. */
export function TurnStep({ row, draft: { fields, put } }: StepProps) {
  const findings = openFindings(row)
  return (
    <>
      <p class="lines">{fields.nobody ? its.nobodyHint : its.turnHint}</p>
      {findings.length > 0 && (
        <Part title={its.open}>
          {findings.map(({ id, words, consequence }) => (
            <p key={id} class="lines">
              <b>{words}</b>
              {consequence && `\n${consequence}`}
            </p>
          ))}
          <Caution words={its.openCaution} />
        </Part>
      )}
      <Recap row={row} fields={fields} />
      <Keys tall>
        <Key
          wide
          words={its.nobody}
          pressed={fields.nobody}
          onPress={() => put({ nobody: !fields.nobody })}
        />
      </Keys>
    </>
  )
}

/** What is kept and signed, in words; the sum with it where something is due. */
export function Recap({ row, fields }: { row: Stop; fields: Handing }) {
  const due = dueAt(row)
  const pictures = attachmentsAbout('stop', row.id).length
  return (
    <>
      {due !== null && <Tally name={its.due} amount={figures.value.money(due)} by={[its.dueHint]} />}
      <Part title={its.recap}>
        <Facts
          facts={[
            [its.pictures, pictures > 0 ? its.taken(pictures) : ''],
            [its.facts.condition, conditionWords(conditionOf(fields))],
            [its.meter, fields.hours && `${fields.hours} h`],
            [its.keys, fields.keys],
            [its.fuel, fields.fuel === 'unknown' ? '' : its.fuels[fields.fuel]],
            [its.runs, fields.runs && (fields.runs === 'yes' ? its.runsYes : its.runsNo)],
            [its.accessories, fields.accessories],
            [its.facts.made, row.kind === 'pickup' ? madeWords(madeSafe(fields)) : ''],
            [its.facts.left, row.kind === 'pickup' ? '' : leftWords(asLeft(fields))],
          ]}
        />
      </Part>
    </>
  )
}
