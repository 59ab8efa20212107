import { encode } from 'uqr'

/** A QR code, dark on light in either color scheme: not every reader reads inverted codes. */
export function QrCode({ text, label }: { text: string; label: string }) {
  const { data, size } = encode(text, { ecc: 'M', border: 4 })
  let path = ''
  data.forEach((row, y) => {
    row.forEach((dark, x) => {
      if (dark) path += `M${x} ${y}h1v1h-1z`
    })
  })
  return (
    <svg
      class="qr-code"
      role="img"
      aria-label={label}
      viewBox={`0 0 ${size} ${size}`}
      shape-rendering="crispEdges"
    >
      <title>{label}</title>
      <path d={`M0 0h${size}v${size}h-${size}z`} class="light" />
      <path d={path} class="dark" />
    </svg>
  )
}
