import type { WorkCaution } from '../../../domain/contract'
import { cautions as t } from '../../../domain/words/cautions'
import { acknowledgeCautions, unreadCautions } from '../../../store/cautions'
import { Button } from '../../components/Button'
import { More } from '../../components/More'
import { useSaveOnce } from '../../useSaveOnce'

/**
 * The cautions of a step: `<Cautions job={jobId} codes={['raised_machine', 'springs']} />`, above what can hurt.
 *
 * What the member has not read on this job is shown in full, with one button that keeps that it was read; after that it
 * is one row that opens. It never blocks the screen: a caution in the way is a caution pressed away.
 */
export function Cautions({ job, codes }: { job: string; codes: readonly WorkCaution[] }) {
  const { busy, save } = useSaveOnce()
  const unread = unreadCautions(job, codes)
  const read = codes.filter((code) => !unread.includes(code))
  return (
    <>
      {unread.length > 0 && (
        <>
          <div class="caution" role="note">
            <Texts codes={unread} />
          </div>
          <Button
            wide
            label={t.gotIt}
            hint={t.gotItHint}
            onPress={() =>
              void (
                busy ||
                save(
                  () => acknowledgeCautions(job, unread),
                  () => {},
                )
              )
            }
          />
        </>
      )}
      {read.length > 0 && (
        <More label={t.seen} names={read.map((code) => t.titles[code]).join(', ')} invalid={false}>
          <Texts codes={read} />
        </More>
      )}
    </>
  )
}

function Texts({ codes }: { codes: readonly WorkCaution[] }) {
  return (
    <>
      {codes.map((code) => (
        <p key={code}>
          <b>{t.titles[code]}.</b> {t.texts[code]}
        </p>
      ))}
      <p>{t.manual}</p>
    </>
  )
}
