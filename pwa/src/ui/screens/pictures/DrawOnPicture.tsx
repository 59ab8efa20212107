import type { Attachment } from '../../../domain/contract'
import type { Mark } from '../../../domain/pictures/marks'
import { drawing as t } from '../../../domain/words/drawing'
import { en } from '../../../domain/words/index'
import type { FormPicture } from '../../../store/database/shopDatabase'
import { draftOf } from '../../../store/drafts'
import { attachment, uploadOf } from '../../../store/pictures/attachments'
import type { Picture } from '../../../store/pictures/pictureStore'
import { addPreparedFormPicture, addPreparedPicture } from '../../../store/pictures/pictures'
import { drawOn } from '../../../store/pictures/shrink'
import { Button, ButtonRow } from '../../components/Button'
import { RadioGroup } from '../../components/RadioGroup'
import { FormPage } from '../../FormPage'
import { paintMarks } from '../../features/pictures/paintMarks'
import { usePicture } from '../../features/pictures/usePicture'
import { NotFound } from '../../NotFound'
import { parseRoute, type Route } from '../../router'
import { useForm } from '../../useForm'
import { MarkCanvas } from './MarkCanvas'

/** What a picture is of: a row, or a form that is not saved yet. */
type Subject = { row: Attachment } | { unsaid: FormPicture }

/** Arrows and rings on a picture, saved as a new one. */
export function DrawOnPicture({ id }: { id: string }) {
  const row = attachment(id)
  const unsaid = uploadOf(id)?.unsaid
  if (row) return <Drawing id={id} subject={{ row }} back={{ at: 'picture', id }} />
  return unsaid ? <Drawing id={id} subject={{ unsaid }} back={formOf(unsaid)} /> : <NotFound />
}

const formOf = ({ form }: FormPicture): Route =>
  parseRoute(new URL(draftOf(form)?.path ?? '/', location.origin))

interface Drawn {
  tool: Mark['kind']
  marks: Mark[]
}

interface DrawingProps {
  id: string
  subject: Subject
  back: Route
}

function Drawing({ id, subject, back }: DrawingProps) {
  const state = 'row' in subject ? subject.row.state : 'waiting'
  const { picture, url, absent } = usePicture({ id, state }, 'picture')
  const form = useForm<Drawn, { id: string }>({
    name: `draw:${id}`,
    blank: { tool: 'arrow', marks: [] },
    save: ({ marks }) => (picture && marks.length ? saveDrawing(id, subject, picture, marks) : null),
    back,
    next: (added) => ('row' in subject ? { at: 'picture', id: added.id } : back),
    saved: t.saved,
  })
  const { tool, marks } = form.fields
  return (
    <FormPage
      form={form}
      title={t.title}
      saveLabel={t.save}
      saveHint={t.saveHint}
      missing={marks.length ? undefined : t.missing}
    >
      <RadioGroup
        horizontal
        label={t.tool}
        value={tool}
        options={[
          { value: 'arrow', label: t.tools.arrow },
          { value: 'ring', label: t.tools.ring },
        ]}
        onValueChange={(chosen) => form.update({ tool: chosen })}
      />
      {url ? (
        <MarkCanvas
          url={url}
          alt={('row' in subject && subject.row.caption) || en.pictures.one}
          tool={tool}
          marks={marks}
          onMark={(mark) => form.update({ marks: [...marks, mark] })}
        />
      ) : (
        <p class="empty-state">{absent ? t.notHere : en.pictures.looking}</p>
      )}
      {marks.length > 0 && (
        <ButtonRow>
          <Button label={t.undo} onPress={() => form.update({ marks: marks.slice(0, -1) })} />
        </ButtonRow>
      )}
    </FormPage>
  )
}

/** Draws the marks into the pixels of a copy, which is kept as a new picture of the same. */
async function saveDrawing(id: string, subject: Subject, picture: Picture, marks: readonly Mark[]) {
  const drawn = await drawOn(picture, (pen, width, height) => paintMarks(pen, marks, width, height))
  const added =
    'row' in subject
      ? await addPreparedPicture({ ...ofRow(subject.row), drawn_from_id: id }, drawn)
      : await addPreparedFormPicture({ ...subject.unsaid, drawn_from_id: id }, drawn)
  if (!added.done) return { done: false as const, words: en.pictures.wrong[added.because], fields: [] }
  return added
}

const ofRow = ({ about_kind, about_id, taken_at, caption }: Attachment) => ({
  about_kind,
  about_id,
  taken_at,
  caption,
})
