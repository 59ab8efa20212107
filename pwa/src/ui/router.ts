import { signal } from '@preact/signals'
import type { StopKind } from '../domain/rows'
import type { WordingChannel } from '../domain/template'

/** Where a person is. One member for every screen. */
export type Place =
  | { at: 'today' }
  | { at: 'find' }
  | { at: 'new-job'; customerId?: string; machineId?: string }
  | { at: 'customer' | 'customer-edit' | 'customer-site' | 'customer-machine'; id: string }
  | { at: 'site-edit'; id: string }
  | { at: 'machine' | 'machine-edit' | 'machine-hours'; id: string }
  | {
      at: 'job' | 'job-edit' | 'job-stage' | 'job-complaint' | 'job-finding' | 'job-clock' | 'job-rework'
      id: string
    }
  | { at: 'clock' }
  | { at: 'my-time' | 'add-time'; memberId?: string }
  | { at: 'job-stop'; id: string; kind: StopKind }
  | { at: 'plan' | 'urgent' | 'new-rig' | 'yard' | 'tag' }
  | { at: 'rig' | 'run' | 'stop' | 'member'; id: string }
  | { at: 'run-trouble'; id: string }
  | { at: 'stop-edit' | 'stop-move' | 'stop-tell' | 'stop-fail' | 'stop-hand' | 'stop-handed'; id: string }
  | { at: 'time-fix' | 'time-settle'; id: string }
  | { at: 'finding' | 'finding-ask' | 'picture' | 'request'; id: string }
  | { at: 'quote' | 'quote-terms' | 'quote-offer' | 'quote-told' | 'quote-ask'; id: string }
  | { at: 'quote-add'; id: string; kind: string; findingId?: string }
  | { at: 'quote-line'; id: string; lineId: string }
  | { at: 'queue' }
  | { at: 'reports'; of?: string }
  | { at: 'issue'; id: string }
  | { at: 'wording'; id: string; channel: WordingChannel }
  | {
      at:
        | 'settings'
        | 'messages'
        | 'wordings'
        | 'prices'
        | 'members'
        | 'new-member'
        | 'password'
        | 'shop'
        | 'first-shop'
        | 'sign-in'
    }
  | { at: 'nowhere' }

/** The address of a place. */
export function pathTo(place: Place): string {
  switch (place.at) {
    case 'today':
    case 'nowhere':
      return '/'
    case 'new-job': {
      const query = new URLSearchParams()
      if (place.customerId) query.set('customer', place.customerId)
      if (place.machineId) query.set('machine', place.machineId)
      return query.size ? `/new-job?${query}` : '/new-job'
    }
    case 'my-time':
    case 'add-time':
      return `/${place.at}${place.memberId ? `?member=${place.memberId}` : ''}`
    case 'quote-add':
      return `/quotes/${place.id}/add/${place.kind}${place.findingId ? `?finding=${place.findingId}` : ''}`
    case 'job-stop':
      return `/jobs/${place.id}/stop/${place.kind}`
    case 'reports':
      return place.of ? `/reports/${place.of}` : '/reports'
    case 'wording':
      return `/wordings/${place.id}/${place.channel}`
    case 'quote-line':
      return `/quotes/${place.id}/lines/${place.lineId}`
    case 'customer':
    case 'machine':
    case 'job':
    case 'finding':
    case 'request':
    case 'picture':
    case 'quote':
    case 'issue':
    case 'rig':
    case 'run':
    case 'stop':
    case 'member':
      return `/${place.at}s/${place.id}`
    case 'site-edit':
      return `/sites/${place.id}`
    case 'customer-edit':
    case 'customer-site':
    case 'customer-machine':
    case 'machine-edit':
    case 'machine-hours':
    case 'job-edit':
    case 'job-stage':
    case 'job-complaint':
    case 'job-finding':
    case 'job-clock':
    case 'job-rework':
    case 'time-fix':
    case 'time-settle':
    case 'run-trouble':
    case 'stop-edit':
    case 'stop-move':
    case 'stop-tell':
    case 'stop-fail':
    case 'stop-hand':
    case 'stop-handed':
    case 'quote-terms':
    case 'quote-offer':
    case 'quote-told':
    case 'quote-ask':
    case 'finding-ask': {
      const [noun, leaf] = place.at.split('-')
      return `/${noun}s/${place.id}/${leaf}`
    }
    default:
      return `/${place.at}`
  }
}

/** The place an address names; `nowhere` when it names none. */
export function placeAt(url: URL): Place {
  const [noun = '', id = '', leaf = '', leafId = ''] = url.pathname.split('/').slice(1)
  const asked = url.searchParams
  if (!noun) return { at: 'today' }
  if (!id) {
    switch (noun) {
      case 'find':
      case 'queue':
      case 'reports':
      case 'clock':
      case 'plan':
      case 'urgent':
      case 'new-rig':
      case 'yard':
      case 'tag':
      case 'settings':
      case 'messages':
      case 'wordings':
      case 'prices':
      case 'members':
      case 'new-member':
      case 'password':
      case 'shop':
      case 'first-shop':
      case 'sign-in':
        return { at: noun }
      case 'my-time':
      case 'add-time': {
        const memberId = asked.get('member')
        return { at: noun, ...(memberId && { memberId }) }
      }
      case 'new-job': {
        const customerId = asked.get('customer')
        const machineId = asked.get('machine')
        return { at: noun, ...(customerId && { customerId }), ...(machineId && { machineId }) }
      }
      default:
        return { at: 'nowhere' }
    }
  }
  switch (`${noun}/${leaf}`) {
    case 'customers/':
      return { at: 'customer', id }
    case 'customers/edit':
      return { at: 'customer-edit', id }
    case 'customers/site':
      return { at: 'customer-site', id }
    case 'customers/machine':
      return { at: 'customer-machine', id }
    case 'sites/':
      return { at: 'site-edit', id }
    case 'machines/':
      return { at: 'machine', id }
    case 'machines/edit':
      return { at: 'machine-edit', id }
    case 'machines/hours':
      return { at: 'machine-hours', id }
    case 'jobs/':
      return { at: 'job', id }
    case 'jobs/edit':
      return { at: 'job-edit', id }
    case 'jobs/stage':
      return { at: 'job-stage', id }
    case 'jobs/complaint':
      return { at: 'job-complaint', id }
    case 'jobs/finding':
      return { at: 'job-finding', id }
    case 'jobs/clock':
      return { at: 'job-clock', id }
    case 'jobs/rework':
      return { at: 'job-rework', id }
    case 'jobs/stop':
      return isStopKind(leafId) ? { at: 'job-stop', id, kind: leafId } : { at: 'nowhere' }
    case 'members/':
      return { at: 'member', id }
    case 'rigs/':
      return { at: 'rig', id }
    case 'runs/':
      return { at: 'run', id }
    case 'runs/trouble':
      return { at: 'run-trouble', id }
    case 'stops/':
      return { at: 'stop', id }
    case 'stops/edit':
      return { at: 'stop-edit', id }
    case 'stops/move':
      return { at: 'stop-move', id }
    case 'stops/tell':
      return { at: 'stop-tell', id }
    case 'stops/fail':
      return { at: 'stop-fail', id }
    case 'stops/hand':
      return { at: 'stop-hand', id }
    case 'stops/handed':
      return { at: 'stop-handed', id }
    case 'times/fix':
      return { at: 'time-fix', id }
    case 'times/settle':
      return { at: 'time-settle', id }
    case 'findings/':
      return { at: 'finding', id }
    case 'findings/ask':
      return { at: 'finding-ask', id }
    case 'requests/':
      return { at: 'request', id }
    case 'pictures/':
      return { at: 'picture', id }
    case 'quotes/':
      return { at: 'quote', id }
    case 'quotes/terms':
      return { at: 'quote-terms', id }
    case 'quotes/offer':
      return { at: 'quote-offer', id }
    case 'quotes/told':
      return { at: 'quote-told', id }
    case 'quotes/ask':
      return { at: 'quote-ask', id }
    case 'quotes/lines':
      return { at: 'quote-line', id, lineId: leafId }
    case 'quotes/add': {
      const findingId = asked.get('finding')
      return { at: 'quote-add', id, kind: leafId, ...(findingId && { findingId }) }
    }
    case 'reports/':
      return { at: 'reports', of: id }
    case 'wordings/email':
    case 'wordings/sms':
    case 'wordings/push':
      return { at: 'wording', id, channel: leaf as WordingChannel }
    case 'issues/':
      return { at: 'issue', id }
    default:
      return { at: 'nowhere' }
  }
}

const isStopKind = (word: string): word is StopKind =>
  word === 'pickup' || word === 'return' || word === 'visit'

export const place = signal<Place>({ at: 'today' })

function arrive(): void {
  place.value = placeAt(new URL(location.href))
}

/** Goes to a place; `instead` takes the one we are at out of the way back. */
export function goTo(next: Place, how: { instead?: boolean } = {}): void {
  const path = pathTo(next)
  if (how.instead) history.replaceState(null, '', path)
  else history.pushState(null, '', path)
  arrive()
  scrollTo(0, 0)
}

/** Starts to follow the address bar, the browser's back and forward, and plain links of the page. */
export function startRouter(): void {
  addEventListener('popstate', arrive)
  document.addEventListener('click', (event) => {
    if (
      event.defaultPrevented ||
      event.button ||
      event.metaKey ||
      event.ctrlKey ||
      event.shiftKey ||
      event.altKey
    )
      return
    const link = (event.target as Element | null)?.closest('a')
    if (!link || link.target || link.hasAttribute('download') || link.origin !== location.origin) return
    if (link.hash || link.pathname.startsWith('/api/')) return
    event.preventDefault()
    history.pushState(null, '', link.href)
    arrive()
    scrollTo(0, 0)
  })
  arrive()
}
