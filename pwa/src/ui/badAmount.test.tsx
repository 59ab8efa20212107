// @vitest-environment happy-dom
import { expect, test } from 'vitest'
import type { Shop } from '../domain/contract'
import { allOf } from '../store/rows/selectors'
import { badAmount } from './badAmount'
import { born, showScreen } from './fakes/screen'
import { format, typedFormat } from './shopFormat'

// Minor units by ISO 4217: the yen has none, the dollar two, the Kuwaiti dinar three.
test.each([
  ['JPY', '1250', '1.5', '¥1,250', 1_250],
  ['USD', '12.50', '1.505', '$12.50', 1_250],
  ['KWD', '1.250', '1.2505', 'KWD 1.250', 1_250],
])(
  'an amount in %s is typed as %s, and %s is refused with that example',
  async (currency, typed, wrong, shown, minor) => {
    await showScreen(
      (server) => {
        const shop = { ...born(), id: '00000000-0000-7000-8000-000000000001', name: 'Bench', locale: 'en-US' }
        server.put('shop', { ...shop, currency, zone: 'Asia/Tokyo' } as unknown as Shop)
      },
      () => null,
    )
    expect(allOf('shop')).toHaveLength(1)
    expect(typedFormat.value.readMoney(typed)).toBe(minor)
    expect(typedFormat.value.readMoney(wrong)).toBe(null)
    expect(format.value.money(minor).replace(/\s/g, ' ')).toBe(shown)
    expect(badAmount()).toContain(typed)
  },
)
