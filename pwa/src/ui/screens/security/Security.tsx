import { security as t } from '../../../domain/words/factors'
import { address } from '../../../domain/words/mailedLinks'
import { newPassword } from '../../../domain/words/members'
import { readFactors } from '../../../store/factors'
import { Button } from '../../components/Button'
import { ListItem } from '../../components/List'
import { ShopPage } from '../../ShopPage'
import { useReading } from '../../useReading'
import { Authenticator } from './Authenticator'
import { Passkeys } from './Passkeys'
import { RecoveryCodes } from './RecoveryCodes'
import { Sessions } from './Sessions'

/** How the member signs in: address, password, passkeys, an app, recovery codes. */
export function Security() {
  const { value, failed, again } = useReading(readFactors)
  return (
    <ShopPage title={t.title} subtitle={value?.email}>
      <ListItem title={address.title} details={address.hint} to={{ at: 'address' }} />
      <ListItem title={newPassword.title} details={newPassword.hint} to={{ at: 'password' }} />
      {failed && (
        <div class="empty-state" role="alert">
          <b>{t.unreached}</b>
          <Button label={t.again} onPress={() => void again()} />
        </div>
      )}
      {value && (
        <>
          <p class="hint">{t.others}</p>
          <Passkeys passkeys={value.passkeys} onChanged={again} />
          <Authenticator isOn={value.authenticator} onChanged={again} />
          <RecoveryCodes left={value.codes_left} onChanged={again} />
          <Sessions key={`${value.passkeys.length} ${value.authenticator} ${value.codes_left}`} />
        </>
      )}
    </ShopPage>
  )
}
