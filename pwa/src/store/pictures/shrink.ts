import { PICTURE } from '../../domain/contract'
import { READ_BY_SERVER } from '../../domain/shared'
import type { Picture, PreparedPicture } from './pictureStore'

/** Enough for screens and PDFs; more only costs bandwidth. */
const QUALITY = 0.82

/** Why a file is refused as a picture. */
export class PictureError extends Error {
  readonly because: 'no_picture' | 'too_large'

  constructor(because: PictureError['because']) {
    super(because)
    this.because = because
  }
}

/**
 * Prepares a picture for upload: upright, at most 2048 pixels long, JPEG without metadata. A format that only the
 * server can read is sent unchanged.
 *
 * @throws NoPicture
 */
export async function preparePicture(file: File): Promise<PreparedPicture> {
  let bitmap: ImageBitmap
  try {
    bitmap = await decode(file)
  } catch {
    if (!READ_BY_SERVER.test(file.type) && !READ_BY_SERVER.test(file.name))
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

type Paint = (pen: OffscreenCanvasRenderingContext2D, width: number, height: number) => void

/** A copy of a picture with something painted on it, ready to be sent. */
export async function drawOn(picture: Picture, paint: Paint): Promise<PreparedPicture> {
  const bitmap = await decode(new Blob([picture.content], { type: picture.type }))
  try {
    const content = await redraw(bitmap, PICTURE.longest_side, paint)
    const small = await redraw(bitmap, PICTURE.longest_side_small, paint)
    return { picture: { type: 'image/jpeg', content }, small }
  } finally {
    bitmap.close()
  }
}

async function decode(file: Blob): Promise<ImageBitmap> {
  try {
    return await createImageBitmap(file, { imageOrientation: 'from-image' })
  } catch (error) {
    if (!(error instanceof TypeError)) throw error
    // Older browsers without this option may still apply the orientation.
    return createImageBitmap(file)
  }
}

async function redraw(bitmap: ImageBitmap, longest: number, paint?: Paint): Promise<ArrayBuffer> {
  const scale = Math.min(1, longest / Math.max(bitmap.width, bitmap.height))
  const [width, height] = [bitmap.width, bitmap.height].map((side) => Math.max(1, Math.round(side * scale)))
  const canvas = new OffscreenCanvas(width ?? 1, height ?? 1)
  const pen = canvas.getContext('2d')
  if (!pen) throw new PictureError('no_picture')
  // JPEG has no transparency: use white, not black.
  pen.fillStyle = '#fff'
  pen.fillRect(0, 0, canvas.width, canvas.height)
  pen.imageSmoothingQuality = 'high'
  pen.drawImage(bitmap, 0, 0, canvas.width, canvas.height)
  paint?.(pen, canvas.width, canvas.height)
  return (await canvas.convertToBlob({ type: 'image/jpeg', quality: QUALITY })).arrayBuffer()
}
