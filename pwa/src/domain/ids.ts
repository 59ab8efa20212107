/**
 * A UUID of version 7 (RFC 9562, 5.7): 48 bits of Unix time in ms, then random bits.
 *
 * @param now_ms whole milliseconds since 1970, at most 2^48 - 1
 * @param random ten random bytes
 */
export function uuid7(now_ms: number, random: Uint8Array): string {
  if (random.length !== 10) throw new RangeError('a version 7 id takes ten random bytes')
  const bytes = new Uint8Array(16)
  let rest = now_ms
  for (let at = 5; at >= 0; at--) {
    bytes[at] = rest % 256
    rest = Math.floor(rest / 256)
  }
  bytes.set(random, 6)
  bytes[6] = 0x70 | ((bytes[6] ?? 0) & 0x0f)
  bytes[8] = 0x80 | ((bytes[8] ?? 0) & 0x3f)
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('')
  return hex.replace(/(.{8})(.{4})(.{4})(.{4})/, '$1-$2-$3-$4-')
}
