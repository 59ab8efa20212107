import { en } from '../domain/words'
import { benchCalculators } from '../domain/words/bench'
import { billingSettingsMenu } from '../domain/words/billingSettingsMenu'
import { booksMenu } from '../domain/words/booksMenu'
import { calendarMenu } from '../domain/words/calendarMenu'
import { checkLists } from '../domain/words/checks'
import { leadTimesMenu, servicesDueMenu } from '../domain/words/dueTablesMenu'
import { gaugeList } from '../domain/words/gaugeList'
import { crew } from '../domain/words/members'
import { moneyReportsMenu } from '../domain/words/moneyReportsMenu'
import { settings as messages } from '../domain/words/noticeSettings'
import { ordersMenu } from '../domain/words/ordersMenu'
import { owedMenu } from '../domain/words/owedMenu'
import { paymentsMenu } from '../domain/words/paymentsMenu'
import { programsMenu } from '../domain/words/programsMenu'
import { sheetsMenu } from '../domain/words/sheetsMenu'
import { catalogMenu, priceListsMenu, stockMenu } from '../domain/words/stockMenu'
import { supplierList } from '../domain/words/supplierList'
import type { MenuRouteName } from './routeAccess'

const t = en.settings

/** The screens under More, as they are listed there and found by the search at the desk. */
export const MENU_WORDS: Record<MenuRouteName<'more'>, { title: string; hint?: string }> = {
  orders: ordersMenu,
  'my-time': { title: en.clockFace.myTime },
  reports: { title: en.timeReports.reports.title, hint: t.hoursHint },
  'money-reports': moneyReportsMenu,
  payments: paymentsMenu,
  ageing: owedMenu,
  'services-due': servicesDueMenu,
  'lead-times': leadTimesMenu,
  books: booksMenu,
  sheets: sheetsMenu,
  messages,
  calculators: benchCalculators,
  prices: { title: t.prices, hint: t.pricesHint },
  gauges: gaugeList,
  suppliers: supplierList,
  'check-lists': checkLists,
  stock: stockMenu,
  catalog: catalogMenu,
  'price-lists': priceListsMenu,
  shop: { title: t.company },
  'billing-settings': billingSettingsMenu,
  calendar: calendarMenu,
  members: crew,
  programs: programsMenu,
  'set-up': { title: en.setUp.title },
  settings: { title: t.title, hint: t.hint },
}
