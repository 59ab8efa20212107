import { useState } from 'preact/hooks'
import { en } from '../../../domain/words'
import { session } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { TextField } from '../../components/Field'

const t = en.signIn

export interface TypedSignIn {
  email: string
  password: string
}

/** The fields of sign-in, and the other ways in. */
export function SignInFields({
  typed,
  errors,
  onType,
  onPasskey,
}: {
  typed: TypedSignIn
  errors: Partial<TypedSignIn>
  onType: (typed: TypedSignIn) => void
  onPasskey: () => void
}) {
  const [shown, setShown] = useState(false)
  return (
    <>
      <TextField
        type="email"
        label={t.email}
        value={typed.email}
        error={errors.email}
        autocomplete="username"
        autocapitalize="off"
        enterKey="next"
        onValueChange={(email) => onType({ ...typed, email })}
      />
      <TextField
        type={shown ? 'text' : 'password'}
        label={t.password}
        value={typed.password}
        error={errors.password}
        autocomplete="current-password"
        autocapitalize="off"
        enterKey="go"
        onValueChange={(password) => onType({ ...typed, password })}
      />
      <ButtonRow stacked>
        <Button wide label={shown ? t.hide : t.show} onPress={() => setShown(!shown)} />
        {'PublicKeyCredential' in globalThis && <Button wide label={t.passkey} onPress={onPasskey} />}
        <Button wide label={t.forgotten} to={{ at: 'forgotten' }} />
        {session.value.first_shop_needed && <Button wide label={t.firstShop} to={{ at: 'first-shop' }} />}
      </ButtonRow>
    </>
  )
}
