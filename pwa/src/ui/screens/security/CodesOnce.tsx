import { security as t } from '../../../domain/words/factors'
import { Button, ButtonRow } from '../../components/Button'
import { showToast } from '../../toast'

/** Recovery codes, shown until they are kept; the server has only their digests. */
export function CodesOnce({ codes, onKept }: { codes: readonly string[]; onKept: () => void }) {
  if (!codes.length) return null
  return (
    <div role="status">
      <p class="multiline">{t.codesOnce}</p>
      <ol class="codes">
        {codes.map((code) => (
          <li key={code} class="serial">
            {code}
          </li>
        ))}
      </ol>
      <ButtonRow stacked>
        <Button wide label={t.copy} onPress={() => void copy(codes.join('\n'))} />
        <Button wide label={t.kept} onPress={onKept} />
      </ButtonRow>
    </div>
  )
}

async function copy(text: string): Promise<void> {
  await navigator.clipboard.writeText(text)
  showToast(t.copied)
}
