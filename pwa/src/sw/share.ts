/**
 * Pictures and texts that other apps share to this one. They are kept here before anything else happens: there may be no
 * signal, and nobody may be signed in.
 *
 * Any website can post such a form too. It is refused where it can be told; for the rest there are limits.
 */
import { PICTURE } from '../domain/contract'
import { READ_BY_SERVER, SHARED } from '../domain/shared'

/** Why something was not kept, for the screen. */
type Refusal = 'website' | 'too_many' | 'too_large' | 'no_picture' | 'no_room' | 'not_saved'

/** The fields of the form, as the manifest names them. */
const TEXTS = ['title', 'text', 'url']
const PICTURES = 'pictures'
/** Photos that phones redraw or the server reads. No SVG, which is a document. */
const PHOTO = /^image\/(jpe?g|png|webp|gif|bmp|avif|hei[cf])$/

/** Answers the post of another app: keeps what it holds, then leads to the screen that asks where to put it. */
export async function keepShared(request: Request, storage: Pick<CacheStorage, 'open'>): Promise<Response> {
  const refused = await keepForm(request, storage)
  const query = refused ? `?because=${refused}` : ''
  // 303: the browser opens it with GET, and going back does not post again.
  return new Response(null, { status: 303, headers: { Location: SHARED.path + query } })
}

async function keepForm(request: Request, storage: Pick<CacheStorage, 'open'>): Promise<Refusal | null> {
  if (isFromWebsite(request)) return 'website'
  try {
    const form = await request.formData()
    const files = form.getAll(PICTURES).filter((each): each is File => typeof each !== 'string')
    const pictures = files.filter(isPicture)
    const texts = TEXTS.flatMap((name) => form.get(name) || []).filter((each) => typeof each === 'string')
    const text = [...new Set(texts.map((each) => each.trim()))].join('\n').slice(0, SHARED.longest_text)
    const cache = await storage.open(SHARED.cache)
    const room = SHARED.most - (await cache.keys()).length
    const small = pictures.filter(({ size }) => size <= PICTURE.most_bytes)
    const found = small.map(pictureResponse)
    if (text) found.push(new Response(text, { headers: { 'Content-Type': 'text/plain' } }))
    // What waits already stays, the new is refused: a flood must not push out a photo that somebody shared.
    for (const each of found.slice(0, Math.max(0, room))) await cache.put(newKey(), each)
    if (found.length > room) return 'too_many'
    if (small.length < pictures.length) return 'too_large'
    return pictures.length < files.length ? 'no_picture' : null
  } catch (error) {
    return error instanceof DOMException && error.name === 'QuotaExceededError' ? 'no_room' : 'not_saved'
  }
}

/**
 * Whether another origin's page sent this. Chromium hides `Sec-Fetch-Site` from workers, so the referrer tells; a page
 * that hides it says so by its policy. A share of the system has no referrer, or an app's (`android-app:`), and no such
 * policy. A page without a referrer for another reason is not told from it.
 */
function isFromWebsite({ url, referrer, referrerPolicy, headers }: Request): boolean {
  if (/-site$/.test(headers.get('Sec-Fetch-Site') ?? '')) return true
  if (!referrer) return /^(no-referrer|same-origin)$/.test(referrerPolicy)
  return /^https?:/.test(referrer) && new URL(referrer).origin !== new URL(url).origin
}

/** Some apps give HEIC no type. */
const isPicture = ({ type, name }: File) =>
  PHOTO.test(type) || (/^(application\/octet-stream)?$/.test(type) && READ_BY_SERVER.test(name))

/** In the order of sharing, as `Cache.keys` has it. */
const newKey = () => `${SHARED.path}/${crypto.randomUUID()}`

const pictureResponse = (file: File) =>
  new Response(file, {
    headers: {
      'Content-Type': PHOTO.test(file.type) ? file.type : 'image/heic',
      [SHARED.name]: encodeURIComponent(file.name),
      [SHARED.at]: String(Date.now()),
    },
  })
