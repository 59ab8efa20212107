/**
 * Reads codes in camera pictures, for browsers that cannot by themselves. Runs in a worker, so that the page stays
 * responsive and its Content-Security-Policy need not allow WebAssembly.
 */
import { prepareZXingModule, readBarcodes } from 'zxing-wasm/reader'
import reader from 'zxing-wasm/reader/zxing_reader.wasm?url'

declare const self: DedicatedWorkerGlobalScope

/** The text of the code; nothing without one, `failed` when no code can be read in this browser. */
export type ReadResult = { words?: string } | 'failed'

// By default the library loads this file from its publisher's host.
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
  const context = new OffscreenCanvas(picture.width, picture.height).getContext('2d')
  if (!context) return 'failed'
  context.drawImage(picture, 0, 0)
  const pixels = context.getImageData(0, 0, picture.width, picture.height)
  const [code] = await readBarcodes(pixels, { formats: ['QRCode'], maxNumberOfSymbols: 1 })
  return code ? { words: code.text } : {}
}
