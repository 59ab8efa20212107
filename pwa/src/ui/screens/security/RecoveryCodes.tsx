import { security as t } from '../../../domain/words/factors'
import { makeRecoveryCodes } from '../../../store/factors'
import { Button, ButtonRow } from '../../components/Button'
import { Section } from '../../components/Section'
import { CodesOnce } from './CodesOnce'
import { useChange } from './useChange'

/** How many recovery codes are left; new ones are shown once. */
export function RecoveryCodes({ left, onChanged }: { left: number; onChanged: () => Promise<void> }) {
  const { codes, change, forget } = useChange(onChanged)
  return (
    <Section title={t.codes} hint={t.codesHint}>
      <p>{left ? t.codesLeft(left) : t.noCodes}</p>
      <CodesOnce codes={codes} onKept={forget} />
      {left > 0 && (
        <ButtonRow stacked>
          <Button
            wide
            label={t.newCodes}
            hint={t.newCodesHint}
            onPress={() => void change(makeRecoveryCodes, t.newCodesMade)}
          />
        </ButtonRow>
      )}
    </Section>
  )
}
