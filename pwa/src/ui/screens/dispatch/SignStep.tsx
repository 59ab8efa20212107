import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { Field } from '../../components/Field'
import { Ink } from '../../components/Ink'
import { Facts, Part } from '../../components/Part'
import { Key, Keys } from '../../components/Press'
import { Tally } from '../../components/Sums'
import { figures } from '../../shopFigures'
import type { StepProps } from './HandOver'
import { asLeft, conditionOf, conditionWords, leftWords, madeSafe, madeWords } from './handing'

const its = en.dispatch.hand

/** Name and ink under what both saw. */
export function SignStep({ row, draft: { fields, put }, wrong, due }: StepProps & { due: number | null }) {
  const [wipes, setWipes] = useState(0)
  const seen = {
    ...fields,
    condition: conditionOf(fields),
    made_safe: row.kind === 'pickup' ? madeSafe(fields) : [],
    as_left: row.kind === 'pickup' ? [] : asLeft(fields),
  }
  return (
    <>
      <p class="lines">
        <b>{its.signHint[row.kind]}</b>
      </p>
      {due !== null && <Tally name={its.due} amount={figures.value.money(due)} by={[its.dueHint]} />}
      <Part title={its.recap}>
        <Facts
          facts={[
            [its.facts.condition, conditionWords(seen.condition)],
            [its.meter, fields.hours && `${fields.hours} h`],
            [its.keys, fields.keys],
            [its.fuel, fields.fuel === 'unknown' ? '' : its.fuels[fields.fuel]],
            [its.runs, fields.runs && (fields.runs === 'yes' ? its.runsYes : its.runsNo)],
            [its.accessories, fields.accessories],
            [its.facts.made, madeWords(seen.made_safe)],
            [its.facts.left, leftWords(seen.as_left)],
          ]}
        />
      </Part>
      <Keys tall>
        <Key
          wide
          words={its.nobody}
          pressed={fields.nobody}
          onPress={() => put({ nobody: !fields.nobody })}
        />
      </Keys>
      {!fields.nobody && (
        <>
          <Field
            label={its.name}
            value={fields.name}
            wrong={wrong['name']}
            capital="words"
            enter="done"
            onValue={(name) => put({ name })}
          />
          {wrong['ink'] && (
            <p class="wrong" role="alert">
              {wrong['ink']}
            </p>
          )}
          <Ink
            label={its.inkLabel}
            hint={its.ink}
            wipes={wipes}
            kept={fields.strokes}
            onDrawn={(strokes, box) => put({ strokes, box })}
          />
          <Keys>
            <Key
              words={its.clear}
              onPress={() => {
                setWipes(wipes + 1)
                put({ strokes: [] })
              }}
            />
          </Keys>
        </>
      )}
    </>
  )
}
