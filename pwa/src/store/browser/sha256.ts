import { canonicalize, type Json } from '../../domain/canonicalJson'

/** SHA-256 in hexadecimal digits. */
export async function sha256Hex(content: BufferSource): Promise<string> {
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', content))
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, '0')).join('')
}

/** The digest of a JSON document, of its canonical form by RFC 8785. Twin: `json_digest` of the server. */
export const jsonDigest = (document: Json): Promise<string> =>
  sha256Hex(new TextEncoder().encode(canonicalize(document)))
