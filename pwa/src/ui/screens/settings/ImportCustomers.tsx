import { en } from '../../../domain/words'
import { ShopPage } from '../../ShopPage'

const t = en.setUp

/** How an address book is brought in: by a command of the server. */
export function ImportCustomers() {
  return (
    <ShopPage title={t.importTitle}>
      <p class="multiline">{t.importLead}</p>
      <p class="multiline">{t.importTry}</p>
      <code>python3 manage.py import_customers FILE --dry-run</code>
      <p class="multiline">{t.importSave}</p>
      <code>python3 manage.py import_customers FILE</code>
      <p class="multiline">{t.importByHand}</p>
    </ShopPage>
  )
}
