// @vitest-environment happy-dom
/** The customer's screens in Spanish: nothing of ours is left in English, and what was shown is what is signed. */
import { render } from 'preact'
import { act } from 'preact/test-utils'
import { afterEach, expect, test } from 'vitest'
import {
  type Customer,
  type Finding,
  type Job,
  type Machine,
  PRICE_PARTS,
  type PriceBook,
  type Shop,
  type Site,
  type Stop,
} from '../../../domain/contract'
import { english } from '../../../domain/words/reader/en'
import { spanish } from '../../../domain/words/reader/es'
import { localeFor } from '../../../domain/words/reader/locale'
import { newId } from '../../../store/browser/clock'
import { keepDraft } from '../../../store/drafts'
import { basis } from '../../../store/fakes/book'
import { Phone } from '../../../store/fakes/phone'
import { FakeServer } from '../../../store/fakes/server'
import { draftQuote, offerQuote, putQuoteLine, quote } from '../../../store/quotes'
import { shopSession } from '../../../store/session/shopSession'
import { BLANK_HAND_OVER, handedOver, stepsOf } from '../../features/dispatch/handOverDraft'
import { documentOf, namesOf } from '../../features/quotes/quoteCalculation'
import { customerMode } from '../../heldBy'
import { Offer } from '../quotes/Offer'
import { CustomerModeScreen } from './CustomerModeScreen'

const root = document.createElement('div')
document.body.append(root)
let phone: Phone | undefined

afterEach(async () => {
  customerMode.value = null
  await act(() => render(null, root))
  shopSession.value = null
  await phone?.close()
})

/** The leaves of a catalog by their keys, functions called with figures and names that say nothing. */
function leaves(words: object, path = ''): [string, string][] {
  return Object.entries(words).flatMap(([key, value]): [string, string][] => {
    const at = `${path}.${key}`
    if (typeof value === 'string') return [[at, value]]
    if (typeof value === 'function') return [[at, key === 'apart' ? value(['¤']) : value('¤', '¤')]]
    return leaves(value as object, at)
  })
}

const SPANISH = new Map(leaves(spanish))
/** The English sentences, without what is the same in both languages or one word of it. */
const ENGLISH = leaves(english).filter(
  ([key, text]) => text.includes(' ') && text !== SPANISH.get(key) && !key.includes('.offer.'),
)

function expectNoEnglish(): void {
  const labels = [...root.querySelectorAll('[aria-label]')].map((each) => each.getAttribute('aria-label'))
  const staff = [...root.querySelectorAll('[lang="en"], .hold')].map((each) => each.textContent)
  let shown = [root.textContent, ...labels].join('\n')
  for (const each of staff) shown = shown.replace(each ?? '', '')
  const left = ENGLISH.filter(([, text]) => {
    const pieces = text.split('¤').map((piece) => piece.trim())
    const said = pieces.filter((piece) => piece.includes(' '))
    return said.length > 0 && said.every((piece) => shown.includes(piece))
  })
  expect(left).toEqual([])
}

test('the words of both languages take the same values, and Spanish is not English', () => {
  const both = leaves(english).map(([key]) => key)
  expect([...SPANISH.keys()]).toEqual(expect.arrayContaining(both))
  const count = (text = '') => text.split('¤').length
  const differ = leaves(english).filter(
    ([key, text]) => key !== '.quote.apart' && count(text) !== count(SPANISH.get(key)),
  )
  expect(differ).toEqual([])
  const said = [...SPANISH.values()].join('\n')
  expect(said).not.toMatch(/\b(?:segur[oa]s?|legal)\b/iu)
  expect([localeFor('en-US', 'es'), localeFor('es-MX', 'es'), localeFor('de-DE', 'en')]).toEqual([
    'es-US',
    'es-MX',
    'de-DE',
  ])
})

async function openShop() {
  const born = { created_at: '2026-04-01T08:00:00.000Z', changed_at: '2026-04-01T08:00:00.000Z' }
  const server = new FakeServer()
  const of = {
    zone: 'America/Chicago',
    week_start: 'monday',
    locale: 'en-US',
    currency: 'USD',
    name: 'Taller',
  }
  server.put('shop', { ...born, id: 'shop', ...of } as Shop)
  server.put('price_book', { ...born, id: 'shop', prices: basis, confirmed: PRICE_PARTS } as PriceBook)
  const row = { id: 'customer', name: 'Inés Robledo', tax_exempt: false, language: 'es' } as const
  server.put('customer', { ...born, ...row } as Customer)
  const machine = { id: 'machine', customer_id: 'customer', kind: 'tractor', make: '', model: '', serial: '' }
  server.put('machine', { ...born, ...machine } as Machine)
  const job = { number: 'J-1', mark: '', customer_id: 'customer', machine_id: 'machine', waits_on: [] }
  server.put('job', { ...born, id: 'job', ...job, stage: 'intake' } as unknown as Job)
  server.put('site', { ...born, id: 'site', customer_id: 'customer', label: 'Casa', address: '' } as Site)
  const stop = {
    id: 'stop',
    job_id: 'job',
    site_id: 'site',
    kind: 'return',
    state: 'arrived',
    from_rig_id: null,
  }
  server.put('stop', { ...born, ...stop, windows: [], place: '' } as unknown as Stop)
  const found = { id: 'found', job_id: 'job', rank: 'safety', decided: 'open', words: 'Freno gastado' }
  server.put('finding', { ...born, ...found, consequence: 'No para.' } as Finding)
  phone = await Phone.open(server, { shop_id: newId(), member_id: newId() })
  await phone.sync()
  shopSession.value = phone.shop
}

const press = async (words: string) => {
  const found = [...root.querySelectorAll<HTMLElement>('button')].find(
    (each) => each.getAttribute('aria-label') === words || each.textContent?.includes(words),
  )
  if (!found) throw new Error(`no button says ${words}: ${root.textContent}`)
  await act(async () => {
    found.click()
    await new Promise((resolve) => setTimeout(resolve, 20))
  })
}

test('a customer reads, answers and signs a quote in Spanish; the document says so', async () => {
  await openShop()
  const id = await draftQuote({ job_id: 'job', kind: 'first', basis })
  const line = {
    quote_id: id,
    rank: 'safety',
    words: 'Cambiar el freno',
    kind: 'labor',
    hours: '1.5',
  } as const
  await putQuoteLine({ ...line, position: 1, included: spanish.quote.consequence('No para.') })
  await putQuoteLine({ ...line, position: 2, words: 'Filtro', rank: 'advised' })
  await act(() => render(<Offer id={id} />, root))
  expect(root.textContent).toContain('They read Español')
  const row = quote(id)
  if (!row) throw new Error('no draft')
  const shown = namesOf('job')
  const document = documentOf(row, '2099-01-31')
  expect(document).toMatchObject({ language: 'es' })
  const { total_minor } = document
  await offerQuote({ id, valid_until: '2099-01-31', digest: 'd'.repeat(64), total_minor, shown })
  customerMode.value = { kind: 'quote', id }
  await act(() => render(<CustomerModeScreen />, root))
  expect(globalThis.document.documentElement.lang).toBe('es')
  for (const words of ['Cotización de Taller', 'Alguien puede lastimarse', '1.5 h a $', '31 ene 2099'])
    expect(root.textContent).toContain(words)
  expectNoEnglish()
  await press('No a Cambiar el freno')
  expectNoEnglish()
  await press('Sí a Filtro')
  await press('Continuar y firmar')
  await press('Apruebo')
  expect(root.textContent).toContain('Por favor, escriba su nombre')
  expectNoEnglish()
  await press('Volver a los puntos')
  await press('Devolver el teléfono sin responder')
  expect(root.textContent).toContain('No se aprobó nada.')
  expectNoEnglish()
})

test('a hand-over is read and signed in Spanish, and the record names the language', async () => {
  await openShop()
  const fields = { ...BLANK_HAND_OVER, left: ['blades_off' as const], hours: '612.4', name: 'Inés' }
  const drafted = { ...fields, step: stepsOf('return').length - 1 }
  keepDraft({ name: 'hand:stop', fields: drafted } as unknown as Parameters<typeof keepDraft>[0])
  customerMode.value = { kind: 'stop', id: 'stop' }
  await act(() => render(<CustomerModeScreen />, root))
  for (const words of ['Freno gastado — No para.', 'Siga el manual del fabricante'])
    expect(root.textContent).toContain(words)
  expectNoEnglish()
  await press('Siguiente')
  expect(root.textContent).toContain('Por favor, lea y marque este punto')
  await act(() => root.querySelector<HTMLInputElement>('input[type=checkbox]')?.click())
  await press('Siguiente')
  for (const words of ['Recibí esta máquina', 'Cuchillas apagadas', 'Horómetro', '612.4 h'])
    expect(root.textContent).toContain(words)
  expectNoEnglish()
  await press('Devolver el teléfono sin firmar')
  expect(root.textContent).toContain('No se firmó nada.')
  expectNoEnglish()

  const stop = shopSession.value?.view.get('stop', 'stop')
  if (!stop) throw new Error('no stop')
  expect(handedOver({ ...stop, kind: 'pickup' }, { ...fields, straps: '2' })).toMatchObject({
    language: 'es',
    made_safe: ['2 amarres puestos'],
  })
  customerMode.value = null
  const nobody = handedOver(stop, { ...fields, nobody: true })
  expect(nobody).toMatchObject({ language: 'en', as_left: ['blades_off'] })
})
