/**
 * Every screen in one line: address, loader, rules. The router, links, permissions, menus, back links and preloading
 * follow from this table.
 *
 * An address names its parameters, which the screen gets as props: `:id` is a path segment, `:kind(pickup|return)` one of
 * these values, and query parameters are optional. Screens `at start` are in the first bundle; the others are loaded by
 * area, one chunk for each folder.
 *
 * Rules. `permission`: needed to open the screen (`signed out`: only while nobody is signed in). `menu`: the bar, or
 * the screen that lists it. `back`: the screen of the back link unless the screen sets another; by default that of the menu.
 * `desk`: for wide screens only, so a phone does not load it ahead.
 */
import type { Permission } from '../../domain/contract'

export const ROUTES = {
  today: ['/', 'at start', { menu: 'bar' }],
  jobs: ['/jobs?view=:view', async () => (await import('./jobs/Jobs')).Jobs, { menu: 'bar' }],
  'new-job': ['/new-job?customer=:customerId&machine=:machineId', async () => (await import('./jobs/NewJob')).NewJob, { menu: 'bar', back: 'today' }],
  road: ['/road', async () => (await import('./dispatch/Road')).Road, { menu: 'bar' }],
  more: ['/more', async () => (await import('./settings/More')).More, { menu: 'bar' }],
  find: ['/find', async () => (await import('./find/Find')).Find, { back: 'today' }],

  quotes: ['/quotes', async () => (await import('./lists/Quotes')).Quotes, { back: 'jobs', desk: true }],
  customers: ['/customers', async () => (await import('./lists/Customers')).Customers, { back: 'find', desk: true }],
  machines: ['/machines', async () => (await import('./lists/Machines')).Machines, { back: 'find', desk: true }],
  stops: ['/stops', async () => (await import('./lists/Stops')).Stops, { back: 'road', desk: true }],
  week: ['/week?day=:day', async () => (await import('./week/Week')).Week, { back: 'hours', desk: true, narrow: { at: 'report', of: 'week' } }],
  hours: ['/hours', async () => (await import('./lists/Hours')).Hours, { back: 'more', desk: true }],

  customer: ['/customers/:id', async () => (await import('./customers/Customer')).Customer, { back: 'find' }],
  'customer-edit': ['/customers/:id/edit', async () => (await import('./customers/CustomerForm')).CustomerForm],
  'customer-site': ['/customers/:id/site', async () => (await import('./customers/SiteForm')).NewSite],
  'customer-machine': ['/customers/:id/machine', async () => (await import('./machines/MachineForm')).NewMachine],
  'site-edit': ['/sites/:id?stop=:stopId', async () => (await import('./customers/SiteForm')).ChangeSite],
  machine: ['/machines/:id', async () => (await import('./machines/Machine')).Machine, { back: 'find' }],
  'machine-edit': ['/machines/:id/edit', async () => (await import('./machines/MachineForm')).ChangeMachine],
  'machine-hours': ['/machines/:id/hours', async () => (await import('./machines/MeterReadingForm')).MeterReadingForm],
  'machine-history': ['/machines/:id/history', async () => (await import('./machines/MachineHistory')).MachineHistory],
  'machine-known': ['/machines/:id/known', async () => (await import('./sheets/Known')).KnownOfMachine],
  sheets: ['/sheets', async () => (await import('./sheets/Sheets')).Sheets, { menu: 'more' }],
  'new-sheet': ['/new-sheet?machine=:machineId', async () => (await import('./sheets/SheetForm')).NewSheet, { back: 'sheets' }],
  sheet: ['/sheets/:id', async () => (await import('./sheets/SheetView')).SheetView, { back: 'sheets' }],
  'sheet-edit': ['/sheets/:id/edit', async () => (await import('./sheets/SheetForm')).ChangeSheet, { back: 'sheets' }],
  'sheet-limit': ['/sheets/:id/limit', async () => (await import('./sheets/LimitForm')).NewLimit, { back: 'sheets' }],
  'sheet-add': [
    '/sheets/:id/add/:kind(fastener|operation|order|note)',
    async () => (await import('./sheets/EntryForm')).NewEntry,
    { back: 'sheets' },
  ],
  limit: ['/limits/:id', async () => (await import('./sheets/LimitForm')).ChangeLimit, { back: 'sheets' }],
  'sheet-entry': ['/sheet-entries/:id', async () => (await import('./sheets/EntryForm')).ChangeEntry, { back: 'sheets' }],
  share: ['/share?because=:because', async () => (await import('./pictures/Share')).Share, { back: 'today' }],
  picture: ['/pictures/:id', async () => (await import('./pictures/PictureView')).PictureView],
  'picture-draw': ['/pictures/:id/draw', async () => (await import('./pictures/DrawOnPicture')).DrawOnPicture],

  job: ['/jobs/:id', async () => (await import('./jobs/Job')).Job, { back: 'jobs' }],
  'job-bench': ['/jobs/:id/bench', async () => (await import('./bench/Bench')).Bench],
  'job-circuit': ['/jobs/:id/circuit?circuit=:circuitId', async () => (await import('./circuit/JobCircuit')).JobCircuit],
  'circuit-seen': [
    '/jobs/:id/circuit/:circuitId/seen?check=:check&part=:part&on=:on&shaken=:shaken&minutes=:minutes',
    async () => (await import('./circuit/RecordObservation')).RecordObservation,
  ],
  circuit: ['/circuits/:id?job=:jobId', async () => (await import('./circuit/CircuitForm')).CircuitForm, { back: 'jobs' }],
  'circuit-way': ['/circuits/:id/:chain(crank|kill)/:way?job=:jobId', async () => (await import('./circuit/WayForm')).WayForm, { back: 'jobs' }],
  'circuit-part': [
    '/circuits/:id/part?part=:part&chain=:chain&way=:way&job=:jobId',
    async () => (await import('./circuit/PartForm')).PartForm,
    { back: 'jobs' },
  ],
  'job-checks': ['/jobs/:id/checks?list=:listId', async () => (await import('./checks/JobChecks')).JobChecks],
  'job-reading': [
    '/jobs/:id/reading?repeat=:repeatId&corrects=:correctsId&second=:second&computed=:computed',
    async () => (await import('./readings/ReadingForm')).ReadingForm,
  ],
  reading: ['/readings/:id', async () => (await import('./readings/ReadingView')).ReadingView, { back: 'jobs' }],
  check: ['/checks/:id', async () => (await import('./checks/CheckView')).CheckView, { back: 'jobs' }],
  'job-tests': ['/jobs/:id/tests', async () => (await import('./testing/Tests')).Tests],
  'job-test': ['/jobs/:id/tests/:kind?item=:item', async () => (await import('./testing/TestForm')).TestForm],
  'job-interlocks': ['/jobs/:id/interlocks', async () => (await import('./testing/Interlocks')).Interlocks],
  'job-starts': ['/jobs/:id/starts', async () => (await import('./testing/Starts')).Starts],
  'job-labels': ['/jobs/:id/labels', async () => (await import('./bench/Labels')).Labels],
  'job-edit': ['/jobs/:id/edit', async () => (await import('./jobs/JobForm')).JobForm],
  'job-parts': ['/jobs/:id/parts', async () => (await import('./jobs/JobParts')).JobParts],
  'job-stage': ['/jobs/:id/stage', async () => (await import('./jobs/JobStage')).JobStage],
  'job-teardown': ['/jobs/:id/teardown', async () => (await import('./teardown/TakeApart')).TakeApart],
  'job-put-back': ['/jobs/:id/put-back?step=:stepId', async () => (await import('./teardown/PutBack')).PutBack],
  'job-put-back-rule': ['/jobs/:id/put-back-rule', async () => (await import('./teardown/RuleForm')).RuleForm],
  'job-fasteners': ['/jobs/:id/fasteners', async () => (await import('./teardown/Ledger')).Ledger],
  'removal-step': ['/removal-steps/:id', async () => (await import('./teardown/Step')).Step, { back: 'jobs' }],
  'removal-step-fastener': ['/removal-steps/:id/fastener', async () => (await import('./teardown/FastenerScreens')).NewFastener, { back: 'jobs' }],
  fastener: ['/fasteners/:id', async () => (await import('./teardown/FastenerScreens')).ChangeFastener, { back: 'jobs' }],
  'fastener-move': ['/fasteners/:id/move', async () => (await import('./teardown/FastenerMoveForm')).FastenerMoveForm, { back: 'jobs' }],
  'job-complaint': ['/jobs/:id/complaint', async () => (await import('./jobs/ComplaintForm')).ComplaintForm],
  'job-finding': ['/jobs/:id/finding', async () => (await import('./jobs/FindingForm')).NewFinding],
  'job-safety-item': ['/jobs/:id/safety-item?device=:device&finding=:findingId', async () => (await import('./safety/SafetyItemForm')).NewSafetyItem],
  'safety-item': ['/safety-items/:id', async () => (await import('./safety/SafetyItemView')).SafetyItemView, { back: 'jobs' }],
  'safety-item-edit': ['/safety-items/:id/edit', async () => (await import('./safety/SafetyItemForm')).ChangeSafetyItem, { back: 'jobs' }],
  'safety-item-repair': ['/safety-items/:id/repair', async () => (await import('./safety/TrialForm')).RepairSafetyItem, { back: 'jobs' }],
  'safety-item-reopen': ['/safety-items/:id/reopen', async () => (await import('./safety/TrialForm')).ReopenSafetyItem, { back: 'jobs' }],
  'safety-item-search': ['/safety-items/:id/part-search', async () => (await import('./safety/PartSearchForm')).PartSearchForm, { back: 'jobs' }],
  'job-ticket': ['/jobs/:id/ticket', async () => (await import('./jobs/Ticket')).Ticket],
  'job-terms': ['/jobs/:id/terms', async () => (await import('./jobs/TermsForm')).TermsForm],
  'job-known': ['/jobs/:id/known', async () => (await import('./sheets/Known')).KnownOfJob],
  'job-stop': ['/jobs/:id/stop/:kind(pickup|return|visit)', async () => (await import('./dispatch/StopForm')).NewStop],
  'job-clock': ['/jobs/:id/clock', async () => (await import('./clock/JobWork')).JobWork],
  'job-rework': ['/jobs/:id/rework', async () => (await import('./clock/Rework')).Rework],
  finding: ['/findings/:id', async () => (await import('./jobs/FindingForm')).ChangeFinding],
  'finding-acknowledge': ['/findings/:id/acknowledge', async () => (await import('./jobs/AcknowledgeFinding')).AcknowledgeFinding],
  'finding-ask': ['/findings/:id/ask', async () => (await import('./approval/MoreWork')).MoreWork],

  quote: ['/quotes/:id', async () => (await import('./quotes/Quote')).Quote],
  'quote-terms': ['/quotes/:id/terms', async () => (await import('./quotes/QuoteTerms')).QuoteTerms],
  'quote-offer': ['/quotes/:id/offer', async () => (await import('./quotes/Offer')).Offer],
  'quote-record-decision': ['/quotes/:id/told', async () => (await import('./quotes/RecordDecision')).RecordDecision],
  'quote-add': ['/quotes/:id/add/:kind?finding=:findingId&work=:workId', async () => (await import('./quotes/LineForm')).AddLine],
  'quote-line': ['/quotes/:id/lines/:lineId', async () => (await import('./quotes/LineForm')).ChangeLine],
  'quote-ask': ['/quotes/:id/ask', async () => (await import('./approval/SendRequest')).SendRequest],
  request: ['/requests/:id', async () => (await import('./approval/RequestView')).RequestView],

  clock: ['/clock', async () => (await import('./clock/ChooseWork')).ShopWork],
  'my-time': ['/my-time?member=:memberId', async () => (await import('./clock/MyTime')).MyTime, { menu: 'more' }],
  'add-time': ['/add-time?member=:memberId', async () => (await import('./clock/FixTime')).AddTime],
  'time-fix': ['/times/:id/fix', async () => (await import('./clock/FixTime')).FixTime, { back: 'my-time' }],
  'time-settle': ['/times/:id/settle', async () => (await import('./clock/SettleTime')).SettleTime, { back: 'my-time' }],

  plan: ['/plan', async () => (await import('./dispatch/Plan')).Plan, { permission: 'plan_runs', back: 'road' }],
  board: [
    '/board?day=:day',
    async () => (await import('./board/Board')).Board,
    { permission: 'plan_runs', back: 'road', desk: true, narrow: { at: 'plan' } },
  ],
  urgent: ['/urgent', async () => (await import('./dispatch/UrgentCall')).UrgentCall, { permission: 'drive_runs', back: 'road' }],
  'new-rig': ['/new-rig', async () => (await import('./dispatch/RigForm')).NewRig, { permission: 'plan_runs', back: 'plan' }],
  rig: ['/rigs/:id', async () => (await import('./dispatch/RigForm')).ChangeRig, { permission: 'plan_runs', back: 'plan' }],
  yard: ['/yard', async () => (await import('./dispatch/YardForm')).YardForm, { permission: 'plan_runs', back: 'plan' }],
  tag: ['/tag', async () => (await import('./dispatch/TagLookup')).TagLookup, { back: 'find' }],
  run: ['/runs/:id', async () => (await import('./dispatch/Run')).Run, { back: 'road' }],
  'run-breakdown': ['/runs/:id/trouble', async () => (await import('./dispatch/Breakdown')).Breakdown],
  stop: ['/stops/:id', async () => (await import('./dispatch/StopView')).StopView],
  'stop-edit': ['/stops/:id/edit', async () => (await import('./dispatch/StopForm')).ChangeStop],
  'stop-move': ['/stops/:id/move', async () => (await import('./dispatch/MoveStop')).MoveStop],
  'stop-arrival': ['/stops/:id/tell', async () => (await import('./dispatch/ArrivalMessage')).ArrivalMessage],
  'stop-fail': ['/stops/:id/fail', async () => (await import('./dispatch/FailStop')).FailStop],
  'stop-hand': ['/stops/:id/hand', async () => (await import('./dispatch/HandOver')).HandOver],
  'stop-hand-over-record': ['/stops/:id/handed', async () => (await import('./dispatch/HandOverRecord')).HandOverRecord],

  queue: ['/queue', async () => (await import('./queue/Queue')).Queue, { back: 'today' }],
  issue: ['/issues/:id', async () => (await import('./queue/IssueView')).IssueView, { back: 'queue' }],

  reports: ['/reports', async () => (await import('./reports/Reports')).Reports, { menu: 'more' }],
  report: ['/reports/:of', async () => (await import('./reports/Reports')).Report, { back: 'reports' }],
  messages: ['/messages', async () => (await import('./messages/MessageSettings')).MessageSettings, { menu: 'more' }],
  calculators: ['/calculators?job=:jobId&for=:purpose', async () => (await import('./calculators/Calculators')).Calculators, { menu: 'more' }],
  calculator: [
    '/calculators/:name?job=:jobId&for=:purpose',
    async () => (await import('./calculators/Calculator')).Calculator,
    { back: 'calculators' },
  ],
  prices: ['/prices?of=:of&from=:from', async () => (await import('./settings/Prices')).Prices, { menu: 'more' }],
  gauges: ['/gauges', async () => (await import('./readings/Gauges')).Gauges, { menu: 'more' }],
  'new-gauge': ['/new-gauge?job=:jobId', async () => (await import('./readings/GaugeForm')).NewGauge, { back: 'gauges' }],
  gauge: ['/gauges/:id', async () => (await import('./readings/GaugeForm')).ChangeGauge, { back: 'gauges' }],
  'check-lists': ['/check-lists', async () => (await import('./checks/CheckLists')).CheckLists, { menu: 'more' }],
  'new-check-list': [
    '/new-check-list?example=:example&job=:jobId',
    async () => (await import('./checks/CheckListForm')).NewCheckList,
    { back: 'check-lists' },
  ],
  'check-list': ['/check-lists/:id', async () => (await import('./checks/CheckListForm')).ChangeCheckList, { back: 'check-lists' }],
  shop: ['/shop', async () => (await import('./settings/ShopForm')).ShopForm, { menu: 'more', permission: 'edit_shop' }],
  members: ['/members', async () => (await import('./settings/Members')).Members, { menu: 'more', permission: 'manage_members' }],
  'new-member': ['/new-member', async () => (await import('./settings/NewMember')).NewMember, { permission: 'manage_members', back: 'members' }],
  member: ['/members/:id', async () => (await import('./settings/Member')).Member, { permission: 'manage_members', back: 'members' }],
  'set-up': ['/set-up', async () => (await import('./settings/SetUp')).SetUp, { menu: 'more', permission: 'edit_shop' }],
  import: ['/import', async () => (await import('./settings/ImportCustomers')).ImportCustomers, { permission: 'edit_shop', back: 'set-up' }],
  settings: ['/settings', async () => (await import('./settings/Settings')).Settings, { menu: 'more' }],
  password: ['/password', async () => (await import('./settings/NewPassword')).NewPassword, { back: 'settings' }],
  wordings: ['/wordings', async () => (await import('./messages/Wordings')).Wordings, { permission: 'edit_shop', back: 'messages' }],
  wording: [
    '/wordings/:id/:channel(email|sms|push)',
    async () => (await import('./messages/WordingForm')).WordingForm,
    { permission: 'edit_shop', back: 'wordings' },
  ],
  'wording-in': [
    '/wordings/:id/:channel(email|sms|push)/:language(es)',
    async () => (await import('./messages/WordingForm')).WordingForm,
    { permission: 'edit_shop', back: 'wordings' },
  ],

  'sign-in': ['/sign-in', 'at start'],
  'first-shop': ['/first-shop', async () => (await import('./session/FirstShop')).FirstShop, { permission: 'signed out', back: 'sign-in' }],
} as const

/** The bar at the foot of every place, and the screen that lists all else. */
export type Menu = 'bar' | 'more'

export interface RouteRules {
  readonly permission?: Permission | 'signed out'
  readonly menu?: Menu
  readonly back?: string
  readonly desk?: true
  /** What is shown under its address where the desk does not fit: it comes back when there is room again. */
  readonly narrow?: { readonly at: string; readonly of?: string }
}
