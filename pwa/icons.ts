/**
 * Draws the app's icon, a drawbar seen from above: the tongue, the ring at its end and the pin through it.
 * One list of shapes gives the SVG and, sampled, the PNG files. Run by `npm run icons`.
 */
import { writeFileSync } from 'node:fs'
import { crc32, deflateSync } from 'node:zlib'

const SIZE = 512
const INK = 255
const GROUND = 0
/** Samples to a pixel in each direction, for smooth edges. */
const SAMPLES = 4

type Shape =
  | { is: 'bar'; x: number; y: number; width: number; height: number; value: number }
  | { is: 'disc'; x: number; y: number; radius: number; value: number }

/** Later shapes lie over earlier ones. All of it stays within the middle 80 %, which every mask leaves. */
const SHAPES: readonly Shape[] = [
  { is: 'bar', x: 92, y: 222, width: 220, height: 68, value: INK },
  { is: 'bar', x: 92, y: 168, width: 56, height: 176, value: INK },
  { is: 'disc', x: 338, y: 256, radius: 104, value: INK },
  { is: 'disc', x: 338, y: 256, radius: 62, value: GROUND },
  { is: 'disc', x: 338, y: 256, radius: 34, value: INK },
]

function svg(): string {
  const drawn = SHAPES.map((shape) => {
    const fill = shape.value === INK ? '#fff' : '#000'
    return shape.is === 'bar'
      ? `<rect x="${shape.x}" y="${shape.y}" width="${shape.width}" height="${shape.height}" fill="${fill}"/>`
      : `<circle cx="${shape.x}" cy="${shape.y}" r="${shape.radius}" fill="${fill}"/>`
  })
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${SIZE} ${SIZE}"><title>Drawbar</title><rect width="${SIZE}" height="${SIZE}"/>${drawn.join('')}</svg>\n`
}

function valueAt(x: number, y: number): number {
  const top = SHAPES.findLast((shape) =>
    shape.is === 'bar'
      ? x >= shape.x && x < shape.x + shape.width && y >= shape.y && y < shape.y + shape.height
      : (x - shape.x) ** 2 + (y - shape.y) ** 2 < shape.radius ** 2,
  )
  return top?.value ?? GROUND
}

/** A grey PNG of that many pixels a side. */
function png(side: number): Buffer {
  const rows: Buffer[] = []
  for (let y = 0; y < side; y++) {
    const row = Buffer.alloc(side + 1)
    for (let x = 0; x < side; x++) {
      let sum = 0
      for (let at = 0; at < SAMPLES ** 2; at++) {
        const sx = (x + ((at % SAMPLES) + 0.5) / SAMPLES) * (SIZE / side)
        const sy = (y + (Math.floor(at / SAMPLES) + 0.5) / SAMPLES) * (SIZE / side)
        sum += valueAt(sx, sy)
      }
      row[x + 1] = Math.round(sum / SAMPLES ** 2)
    }
    rows.push(row)
  }
  const header = Buffer.alloc(13)
  header.writeUInt32BE(side, 0)
  header.writeUInt32BE(side, 4)
  header.writeUInt8(8, 8)
  return Buffer.concat([
    Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]),
    chunk('IHDR', header),
    chunk('IDAT', deflateSync(Buffer.concat(rows), { level: 9 })),
    chunk('IEND', Buffer.alloc(0)),
  ])
}

function chunk(name: string, data: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(name, 'latin1'), data])
  const length = Buffer.alloc(4)
  length.writeUInt32BE(data.length)
  const sum = Buffer.alloc(4)
  sum.writeUInt32BE(crc32(body))
  return Buffer.concat([length, body, sum])
}

writeFileSync('public/icon.svg', svg())
for (const side of [180, 192, 512]) writeFileSync(`public/icon-${side}.png`, png(side))
