import { useEffect, useState } from 'preact/hooks'
import type { Job } from '../../../domain/contract'
import { shownName } from '../../../domain/provisionalMarks'
import { en } from '../../../domain/words/index'
import { customer } from '../../../store/customers'
import { machine } from '../../../store/machines'
import {
  dropShared,
  jobsByLastUse,
  putIntoJob,
  readShared,
  type Shared,
  type SharedPicture,
} from '../../../store/pictures/shared'
import { Button, ButtonRow } from '../../components/Button'
import { FieldError } from '../../components/FieldError'
import { List, ListItem } from '../../components/List'
import { Thumbnail } from '../../components/Picture'
import { Section } from '../../components/Section'
import { Serial } from '../../components/Serial'
import { machineName } from '../../names'
import { navigate } from '../../router'
import { ShopPage } from '../../ShopPage'
import { showToast } from '../../toast'
import { startComplaint } from './startComplaint'

const t = en.pictures.share
const { no_picture, no_room, too_large, too_many, website } = t
/** Why the service worker did not keep something; another value in the address is shown as the most general. */
const REFUSALS: { readonly [because: string]: string } = { no_picture, no_room, too_large, too_many, website }

/** What another app shared, and the open jobs that it can be put into. */
export function Share({ because }: { because?: string }) {
  const [shared, setShared] = useState<Shared | null>(null)
  const [error, setError] = useState(because ? (REFUSALS[because] ?? t.not_saved) : '')
  const [busy, setBusy] = useState(false)
  const look = async () => setShared(await readShared())
  useEffect(() => void look(), [])
  const { pictures, texts } = shared ?? { pictures: [], texts: [] }
  const count = pictures.length + texts.length
  const text = texts.map((each) => each.text).join('\n')

  async function put({ id }: Job) {
    if (busy) return
    setBusy(true)
    const refused = await putIntoJob(id, pictures, text)
    if (refused && !refused.done) setError(en.pictures.wrong[refused.because])
    else {
      if (!pictures.length) await startComplaint(id, text)
      await dropShared(texts.map(({ key }) => key))
      if (pictures.length)
        showToast(pictures.length === 1 ? en.pictures.kept : en.pictures.keptAll(pictures.length))
      navigate(pictures.length ? { at: 'job', id } : { at: 'job-complaint', id }, { replace: true })
    }
    setBusy(false)
    await look()
  }
  async function discard() {
    await dropShared([...pictures, ...texts].map(({ key }) => key))
    showToast(t.discarded)
    navigate({ at: 'today' }, { replace: true })
  }
  return (
    <ShopPage title={t.title} subtitle={shared && (count ? t.hint(pictures.length, text !== '') : t.nothing)}>
      <div role="alert">
        <FieldError id="share-error" text={error} />
      </div>
      <ul class="picture-grid">
        {pictures.map((picture, at) => (
          <li key={picture.key}>
            <SharedThumbnail picture={picture} alt={en.pictures.alt(at + 1, pictures.length)} />
          </li>
        ))}
      </ul>
      {text && <p class="multiline">{text}</p>}
      <p role="status">{busy && `${en.pictures.keeping} …`}</p>
      {count > 0 && <Jobs onPut={(job) => void put(job)} />}
      {count > 0 && (
        <ButtonRow>
          <Button label={t.newJob} to={{ at: 'new-job' }} />
          <Button label={t.discard} onPress={() => void discard()} />
        </ButtonRow>
      )}
    </ShopPage>
  )
}

function Jobs({ onPut }: { onPut: (job: Job) => void }) {
  return (
    <Section title={t.jobs}>
      <List items={jobsByLastUse()} keyOf={(job) => job.id} empty={t.noJobs}>
        {(job) => (
          <ListItem
            title={customer(job.customer_id)?.name || en.app.noName}
            value={<Serial text={shownName(job)} />}
            details={en.app.joined([machineName(machine(job.machine_id)), en.stages[job.stage]])}
            onPress={() => onPut(job)}
          />
        )}
      </List>
    </Section>
  )
}

function SharedThumbnail({ picture, alt }: { picture: SharedPicture; alt: string }) {
  const [url, setUrl] = useState<string | null>(null)
  const [unreadable, setUnreadable] = useState(false)
  useEffect(() => {
    const made = URL.createObjectURL(picture.file)
    setUrl(made)
    return () => URL.revokeObjectURL(made)
  }, [picture.key])
  return (
    <Thumbnail
      url={unreadable ? null : url}
      alt={alt}
      placeholder={unreadable ? en.pictures.unreadable : ''}
      caption=""
      status=""
      onLoadError={() => setUnreadable(true)}
    />
  )
}
