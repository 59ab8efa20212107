import { en } from '../domain/words'
import { benchCalculators } from '../domain/words/bench'
import { checkLists } from '../domain/words/checks'
import { gaugeList } from '../domain/words/gaugeList'
import { crew } from '../domain/words/members'
import { settings as messages } from '../domain/words/noticeSettings'
import { sheetsMenu } from '../domain/words/sheetsMenu'
import type { MenuRouteName } from './routeAccess'

const t = en.settings

/** The screens under More, as they are listed there and found by the search at the desk. */
export const MENU_WORDS: Record<MenuRouteName<'more'>, { title: string; hint?: string }> = {
  'my-time': { title: en.clockFace.myTime },
  reports: { title: en.timeReports.reports.title, hint: t.hoursHint },
  sheets: sheetsMenu,
  messages,
  calculators: benchCalculators,
  prices: { title: t.prices, hint: t.pricesHint },
  gauges: gaugeList,
  'check-lists': checkLists,
  shop: { title: t.company },
  members: crew,
  'set-up': { title: en.setUp.title },
  settings: { title: t.title, hint: t.hint },
}
