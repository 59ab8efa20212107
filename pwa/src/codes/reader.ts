/**
 * Reads the code in a picture of the camera, for browsers that cannot by themselves. A worker of its own, so that
 * keys stay quick while it looks, and so that the page's policy need not let it compile anything.
 */
import { prepareZXingModule, readBarcodes } from 'zxing-wasm/reader'
import reader from 'zxing-wasm/reader/zxing_reader.wasm?url'

declare const self: DedicatedWorkerGlobalScope

/** What was read; nothing when there was no code to read, `failed` when none can ever be read here. */
export type ReadResult = { words?: string } | 'failed'

// By itself it would ask a host of its makers.
const ready = prepareZXingModule({ overrides: { locateFile: () => reader }, fireImmediately: true })

self.onmessage = async ({ data }: MessageEvent<ImageBitmap>) => {
  try {
    await ready
    self.postMessage(await read(data))
  } catch {
    self.postMessage('failed' satisfies ReadResult)
  } finally {
    data.close()
  }
}

async function read(picture: ImageBitmap): Promise<ReadResult> {
  const paper = new OffscreenCanvas(picture.width, picture.height).getContext('2d')
  if (!paper) return 'failed'
  paper.drawImage(picture, 0, 0)
  const pixels = paper.getImageData(0, 0, picture.width, picture.height)
  const [code] = await readBarcodes(pixels, { formats: ['QRCode'], maxNumberOfSymbols: 1 })
  return code ? { words: code.text } : {}
}
