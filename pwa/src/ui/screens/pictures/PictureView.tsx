import { useState } from 'preact/hooks'
import type { Attachment } from '../../../domain/rows'
import { en } from '../../../domain/words'
import type { Picture } from '../../../store/album'
import { attachment, attachmentsAbout, editAttachment } from '../../../store/attachments'
import { addTaken, removePicture } from '../../../store/pictures'
import { Field } from '../../components/Field'
import { Form } from '../../components/Form'
import { Key, Keys, Slab } from '../../components/Press'
import { useDraft } from '../../draft'
import { goTo, type Place } from '../../router'
import { useSend } from '../../send'
import { figures } from '../../shopFigures'
import { saving, tell } from '../../telling'
import { Nowhere } from '../Nowhere'
import { Sheet } from '../Sheet'
import { standing } from './standing'
import { usePicture } from './usePicture'

const its = en.pictures

/** One picture as large as the glass, with what it shows in words. */
export function PictureView({ id }: { id: string }) {
  const row = attachment(id)
  const [seen] = useState(row)
  return row && seen ? <Shown row={row} seen={seen} /> : <Nowhere />
}

function Shown({ row, seen }: { row: Attachment; seen: Attachment }) {
  const { picture, url, absent, unreadable, onUnreadable } = usePicture(row, 'picture')
  const { fields, put, drop } = useDraft(`picture:${row.id}`, { caption: seen.caption })
  const { busy, send } = useSend()
  const all = attachmentsAbout(row.about_kind, row.about_id)
  const alt = row.caption || its.alt(all.findIndex(({ id }) => id === row.id) + 1, all.length)
  const back = placeOf(row)
  const leave = () => {
    drop()
    goTo(back, { instead: true })
  }

  async function remove(held: Picture | null) {
    if (!(await saving(() => removePicture(row.id)))) return
    tell(its.removed, held ? () => bringBack(row, held) : undefined)
    leave()
  }
  return (
    <Sheet
      over={its.one}
      title={alt}
      under={its.taken(figures.value.since(Date.parse(row.taken_at), Date.now()))}
      back={back}
      dock={<Slab words={its.save} form="picture" busy={busy} />}
    >
      <figure class="picture">
        {url && !unreadable ? (
          <img src={url} alt={alt} onError={onUnreadable} />
        ) : (
          <p class="blank">{instead(row, absent, unreadable)}</p>
        )}
        <figcaption>
          <p role="status">{standing(row)}</p>
        </figcaption>
      </figure>
      <Form id="picture" wrong={{}} onSend={() => void send(() => editAttachment(seen, fields), leave)}>
        <Field
          area
          label={its.caption}
          hint={its.captionHint}
          value={fields.caption}
          onValue={(caption) => put({ caption })}
        />
      </Form>
      {(picture || row.state === 'refused') && (
        // What is not on this phone could not be brought back.
        <Keys tall>
          <Key wide words={its.remove} onPress={() => void remove(picture)} />
        </Keys>
      )}
    </Sheet>
  )
}

function instead(row: Attachment, absent: boolean, unreadable: boolean): string {
  if (unreadable) return its.unreadable
  if (!absent) return its.looking
  if (row.state === 'waiting') return its.gone
  // One that is being made, or was refused, is spoken of below.
  return row.state === 'ready' ? its.comes : its.none
}

async function bringBack({ about_kind, about_id, taken_at, caption }: Attachment, held: Picture) {
  const added = await addTaken({ about_kind, about_id, taken_at, caption }, { picture: held, small: null })
  if (!added.done) throw new Error(added.because)
}

function placeOf({ about_kind, about_id }: Attachment): Place {
  switch (about_kind) {
    case 'finding':
    case 'machine':
    case 'job':
    case 'stop':
      return { at: about_kind, id: about_id }
    case 'part':
      return { at: 'today' }
  }
}
