import type { CreationOptions, NewPasskey, RequestOptions, SignedChallenge } from '../../../store/factors'

/** Creates and uses passkeys by the browser (WebAuthn level 2). */

export const hasPasskeys = (): boolean => 'PublicKeyCredential' in globalThis

/** @throws DOMException when the person declines or the device has none */
export async function createPasskey(options: CreationOptions, label: string): Promise<NewPasskey> {
  const made = (await navigator.credentials.create({
    publicKey: {
      challenge: toBytes(options.challenge),
      rp: { id: options.rp_id, name: options.rp_name },
      user: { id: toBytes(options.user_id), name: options.user_name, displayName: options.user_name },
      pubKeyCredParams: options.algorithms.map((alg) => ({ type: 'public-key', alg })),
      excludeCredentials: options.exclude.map(descriptor),
      authenticatorSelection: { residentKey: 'required', userVerification: 'required' },
    },
  })) as PublicKeyCredential
  const { clientDataJSON, attestationObject } = made.response as AuthenticatorAttestationResponse
  return {
    label,
    credential_id: toText(made.rawId),
    client_data: toText(clientDataJSON),
    attestation: toText(attestationObject),
  }
}

/** @throws DOMException when the person declines or the device has none */
export async function signWithPasskey(options: RequestOptions): Promise<SignedChallenge> {
  const used = (await navigator.credentials.get({
    publicKey: {
      challenge: toBytes(options.challenge),
      rpId: options.rp_id,
      allowCredentials: options.allow.map(descriptor),
      userVerification: 'required',
    },
  })) as PublicKeyCredential
  const { clientDataJSON, authenticatorData, signature, userHandle } =
    used.response as AuthenticatorAssertionResponse
  return {
    credential_id: toText(used.rawId),
    client_data: toText(clientDataJSON),
    authenticator_data: toText(authenticatorData),
    signature: toText(signature),
    user_handle: userHandle && toText(userHandle),
  }
}

const descriptor = (id: string): PublicKeyCredentialDescriptor => ({ type: 'public-key', id: toBytes(id) })

/** Base64url without padding (RFC 4648, section 5). */
function toBytes(text: string): Uint8Array<ArrayBuffer> {
  return Uint8Array.from(atob(text.replaceAll('-', '+').replaceAll('_', '/')), (one) => one.charCodeAt(0))
}

function toText(bytes: ArrayBuffer): string {
  const text = btoa(String.fromCharCode(...new Uint8Array(bytes)))
  return text.replaceAll('+', '-').replaceAll('/', '_').replaceAll('=', '')
}
