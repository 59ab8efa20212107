/**
 * Pictures and texts that other apps share to this one. They are kept here before anything else happens: there may be no
 * signal, and nobody may be signed in.
 */
import { READ_BY_SERVER, SHARED } from '../domain/shared'

/** Why something was not kept, for the screen. */
type Refusal = 'no_picture' | 'no_room' | 'not_saved'

/** The fields of the form, as the manifest names them. */
const TEXTS = ['title', 'text', 'url']
const PICTURES = 'pictures'

/** Answers the post of another app: keeps what it holds, then leads to the screen that asks where to put it. */
export async function keepShared(request: Request, storage: Pick<CacheStorage, 'open'>): Promise<Response> {
  const refused = await keepForm(request, storage)
  const query = refused ? `?because=${refused}` : ''
  // 303: the browser opens it with GET, and going back does not post again.
  return new Response(null, { status: 303, headers: { Location: SHARED.path + query } })
}

async function keepForm(request: Request, storage: Pick<CacheStorage, 'open'>): Promise<Refusal | null> {
  try {
    const form = await request.formData()
    const files = form.getAll(PICTURES).filter((each): each is File => typeof each !== 'string')
    const pictures = files.filter(isPicture)
    const texts = TEXTS.flatMap((name) => form.get(name) || []).filter((each) => typeof each === 'string')
    const text = [...new Set(texts.map((each) => each.trim()))].join('\n').slice(0, SHARED.longest_text)
    const cache = await storage.open(SHARED.cache)
    for (const file of pictures) await cache.put(newKey(), pictureResponse(file))
    if (text) await cache.put(newKey(), new Response(text, { headers: { 'Content-Type': 'text/plain' } }))
    return pictures.length < files.length ? 'no_picture' : null
  } catch (error) {
    return error instanceof DOMException && error.name === 'QuotaExceededError' ? 'no_room' : 'not_saved'
  }
}

const isPicture = ({ type, name }: File) => type.startsWith('image/') || READ_BY_SERVER.test(name)

/** In the order of sharing, as `Cache.keys` has it. */
const newKey = () => `${SHARED.path}/${crypto.randomUUID()}`

const pictureResponse = (file: File) =>
  new Response(file, {
    headers: {
      'Content-Type': file.type || 'image/heic',
      [SHARED.name]: encodeURIComponent(file.name),
      [SHARED.at]: String(Date.now()),
    },
  })
