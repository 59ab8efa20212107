import { exchange } from './client'
import { NoSignal } from './problem'

/**
 * Uploads of pictures and voice notes by the tus protocol, version 1.0.0 (creation and checksum), and downloads of the
 * processed ones.
 *
 * An upload has the id of its attachment, so beginning it again resumes it.
 */
const UPLOADS = '/api/v1/uploads'
const TUS = { 'Tus-Resumable': '1.0.0' }
/** Enough for a part at 5 kB a second. */
const PART_TIMEOUT_MS = 60_000

/**
 * Begins or resumes the upload of an attachment. Returns the offset.
 *
 * @throws Problem 404 while the server does not have the attachment's row, 413 when it is too large
 */
export async function beginUpload(id: string, bytes: number): Promise<number> {
  const headers = { ...TUS, 'Upload-Length': String(bytes), 'Upload-Metadata': `attachment ${btoa(id)}` }
  return offsetIn(await exchange('POST', UPLOADS, { headers }))
}

/** How many bytes of an upload the server has. */
export async function uploadOffset(id: string): Promise<number> {
  return offsetIn(await exchange('HEAD', `${UPLOADS}/${id}`, { headers: TUS }))
}

/**
 * Sends the next bytes of an upload. Returns the new offset.
 *
 * @throws Problem 409 `wrong_offset` with the right one; 460 `checksum_mismatch` when this part was changed on the way,
 * `upload_differs` when the whole is not what was announced and starts over
 */
export async function addBytes(id: string, offset: number, part: Uint8Array<ArrayBuffer>): Promise<number> {
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', part))
  const headers = {
    ...TUS,
    'Content-Type': 'application/offset+octet-stream',
    'Upload-Offset': String(offset),
    'Upload-Checksum': `sha256 ${btoa(String.fromCharCode(...digest))}`,
  }
  const sent = exchange('PATCH', `${UPLOADS}/${id}`, { headers, body: part, timeout_ms: PART_TIMEOUT_MS })
  return offsetIn(await sent)
}

/** The processed picture of an attachment, a JPEG. Throws Problem 409 while there is none. */
export async function getPicture(id: string, size: 'picture' | 'thumbnail'): Promise<ArrayBuffer> {
  const response = await exchange('GET', `/api/v1/attachments/${id}/${size}`)
  // A hotspot's page has status 200 as well.
  if (response.headers.get('Content-Type') !== 'image/jpeg') throw new NoSignal('answered with no picture')
  try {
    return await response.arrayBuffer()
  } catch (error) {
    throw new NoSignal(String(error))
  }
}

/** A voice note and its type. Throws Problem 409 while there is none. */
export async function getVoiceNote(id: string): Promise<{ type: string; content: ArrayBuffer }> {
  const response = await exchange('GET', `/api/v1/attachments/${id}/voice`)
  const type = response.headers.get('Content-Type') ?? ''
  // A hotspot's page has status 200 as well.
  if (!type.startsWith('audio/')) throw new NoSignal('answered with no sound')
  try {
    return { type, content: await response.arrayBuffer() }
  } catch (error) {
    throw new NoSignal(String(error))
  }
}

function offsetIn(response: Response): number {
  const text = response.headers.get('Upload-Offset')
  if (text === null || !/^\d+$/.test(text)) throw new NoSignal('answered without an offset')
  return Number(text)
}
