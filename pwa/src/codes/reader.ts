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

/** A picture of the camera; with `bars`, for bar codes too, as packages have them. */
interface Picture {
  picture: ImageBitmap
  bars: boolean
}

const BARS = ['Code128', 'Code39', 'EAN13', 'UPCA', 'ITF', 'DataMatrix'] as const

self.onmessage = async ({ data: { picture, bars } }: MessageEvent<Picture>) => {
  try {
    await ready
    self.postMessage(await read(picture, bars))
  } catch {
    self.postMessage('failed' satisfies ReadResult)
  } finally {
    picture.close()
  }
}

async function read(picture: ImageBitmap, bars: boolean): Promise<ReadResult> {
  const context = new OffscreenCanvas(picture.width, picture.height).getContext('2d')
  if (!context) return 'failed'
  context.drawImage(picture, 0, 0)
  const pixels = context.getImageData(0, 0, picture.width, picture.height)
  const [code] = await readBarcodes(pixels, {
    formats: ['QRCode', ...(bars ? BARS : [])],
    maxNumberOfSymbols: 1,
  })
  return code ? { words: code.text } : {}
}
