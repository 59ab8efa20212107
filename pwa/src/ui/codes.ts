import type { Found } from '../codes/reader'

/** Reads the code that the camera sees. */
export interface CodeReader {
  /** The words of the code before the glass, if there is one. Rejects when none can be read on this phone. */
  read(glass: HTMLVideoElement): Promise<string | undefined>
  close(): void
}

/** What some browsers have by themselves. */
interface Detector {
  detect(source: HTMLVideoElement): Promise<readonly { rawValue: string }[]>
}
interface Detectors {
  new (how: { formats: string[] }): Detector
  getSupportedFormats(): Promise<string[]>
}

/** There is a camera to ask for; over plain http a browser hides it. */
export const hasCamera = () => navigator.mediaDevices !== undefined

/** The browser's own reader where it reads these codes, else ours. */
export async function openReader(): Promise<CodeReader> {
  const { BarcodeDetector } = globalThis as { BarcodeDetector?: Detectors }
  const formats = (await BarcodeDetector?.getSupportedFormats().catch((): string[] => [])) ?? []
  return BarcodeDetector && formats.includes('qr_code')
    ? itsOwn(new BarcodeDetector({ formats: ['qr_code'] }))
    : ours()
}

function itsOwn(detector: Detector): CodeReader {
  return { read: async (glass) => (await detector.detect(glass))[0]?.rawValue, close: () => {} }
}

function ours(): CodeReader {
  const worker = new Worker(new URL('../codes/reader.ts', import.meta.url), { type: 'module', name: 'codes' })
  return {
    read: async (glass) => {
      const picture = await createImageBitmap(glass)
      const found = await new Promise<Found>((resolve) => {
        worker.onmessage = ({ data }: MessageEvent<Found>) => resolve(data)
        worker.onerror = () => resolve('failed')
        worker.postMessage(picture, [picture])
      })
      if (found === 'failed') throw new Error('no code can be read here')
      return found.words
    },
    close: () => worker.terminate(),
  }
}
