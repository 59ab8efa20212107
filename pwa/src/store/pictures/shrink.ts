import { PICTURE } from '../../domain/contract'
import type { PreparedPicture } from './pictureStore'

/** What a customer's screen and a sheet of paper can show; more only costs signal. */
const QUALITY = 0.82
/** The server takes no more. */
/** Formats the server reads and some browsers do not. */
const READ_ELSEWHERE = /^image\/hei[cf]$|\.hei[cf]$/i

/** Why a file is not taken as a picture. */
export class PictureError extends Error {
  readonly because: 'no_picture' | 'too_large'

  constructor(because: PictureError['because']) {
    super(because)
    this.because = because
  }
}

/**
 * A picture made ready to be sent: upright, at most 2048 pixels long, as JPEG and with nothing else of the file
 * in it. What this browser cannot read but the server can goes as it is.
 *
 * @throws NoPicture
 */
export async function preparePicture(file: File): Promise<PreparedPicture> {
  let bitmap: ImageBitmap
  try {
    bitmap = await decode(file)
  } catch {
    if (!READ_ELSEWHERE.test(file.type) && !READ_ELSEWHERE.test(file.name))
      throw new PictureError('no_picture')
    if (file.size > PICTURE.most_bytes) throw new PictureError('too_large')
    const picture = { type: file.type || 'image/heic', content: await file.arrayBuffer() }
    return { picture, small: null }
  }
  try {
    const [content, small] = [
      await redraw(bitmap, PICTURE.longest_side),
      await redraw(bitmap, PICTURE.longest_side_small),
    ]
    return { picture: { type: 'image/jpeg', content }, small }
  } finally {
    bitmap.close()
  }
}

async function decode(file: File): Promise<ImageBitmap> {
  try {
    return await createImageBitmap(file, { imageOrientation: 'from-image' })
  } catch (error) {
    if (!(error instanceof TypeError)) throw error
    // An older browser that does not know the word may still turn it upright by itself.
    return createImageBitmap(file)
  }
}

async function redraw(bitmap: ImageBitmap, longest: number): Promise<ArrayBuffer> {
  const scale = Math.min(1, longest / Math.max(bitmap.width, bitmap.height))
  const [width, height] = [bitmap.width, bitmap.height].map((side) => Math.max(1, Math.round(side * scale)))
  const canvas = new OffscreenCanvas(width ?? 1, height ?? 1)
  const pen = canvas.getContext('2d')
  if (!pen) throw new PictureError('no_picture')
  // JPEG has no holes: what is see-through is white, not black.
  pen.fillStyle = '#fff'
  pen.fillRect(0, 0, canvas.width, canvas.height)
  pen.imageSmoothingQuality = 'high'
  pen.drawImage(bitmap, 0, 0, canvas.width, canvas.height)
  return (await canvas.convertToBlob({ type: 'image/jpeg', quality: QUALITY })).arrayBuffer()
}
