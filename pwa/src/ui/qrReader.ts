import type { ReadResult } from '../codes/reader'

/** Reads codes from the picture of the camera. */
export interface QrReader {
  /** The text of the code in the frame, if there is one. Rejects when this phone cannot read codes at all. */
  read(video: HTMLVideoElement): Promise<string | undefined>
  close(): void
}

/** The part used here of https://developer.mozilla.org/docs/Web/API/BarcodeDetector, which some browsers have. */
interface Detector {
  detect(source: HTMLVideoElement): Promise<readonly { rawValue: string }[]>
}
interface BarcodeDetectorClass {
  new (how: { formats: string[] }): Detector
  getSupportedFormats(): Promise<string[]>
}

/** Whether the browser offers a camera; over plain http it does not. */
export const hasCamera = () => navigator.mediaDevices !== undefined

/** The formats of codes on packages, besides QR, by the names of the BarcodeDetector. */
const BARS = ['code_128', 'code_39', 'ean_13', 'upc_a', 'itf', 'data_matrix']

/** The browser's own detector where it reads these codes, else the WebAssembly reader in a worker. */
export async function openQrReader(bars = false): Promise<QrReader> {
  const { BarcodeDetector } = globalThis as { BarcodeDetector?: BarcodeDetectorClass }
  const formats = (await BarcodeDetector?.getSupportedFormats().catch((): string[] => [])) ?? []
  const wanted = bars ? ['qr_code', ...BARS] : ['qr_code']
  return BarcodeDetector && wanted.every((each) => formats.includes(each))
    ? nativeReader(new BarcodeDetector({ formats: wanted }))
    : workerReader(bars)
}

function nativeReader(detector: Detector): QrReader {
  return { read: async (video) => (await detector.detect(video))[0]?.rawValue, close: () => {} }
}

function workerReader(bars: boolean): QrReader {
  const worker = new Worker(new URL('../codes/reader.ts', import.meta.url), { type: 'module', name: 'codes' })
  return {
    read: async (video) => {
      const picture = await createImageBitmap(video)
      const found = await new Promise<ReadResult>((resolve) => {
        worker.onmessage = ({ data }: MessageEvent<ReadResult>) => resolve(data)
        worker.onerror = () => resolve('failed')
        worker.postMessage({ picture, bars }, [picture])
      })
      if (found === 'failed') throw new Error('no code can be read here')
      return found.words
    },
    close: () => worker.terminate(),
  }
}
