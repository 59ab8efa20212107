import { OFFER } from '../../messages/quotes.ts'
import { hand } from '../handover'
import { quote } from '../quote'

const { customer, counted, coreIn, offIn, agreedBefore, kinds, partsOf, totals } = quote

/** The English of the customer's screens: the words that members see, too. */
export const english = {
  quote: customer,
  line: { counted, coreIn, offIn, agreedBefore, kinds, partsOf },
  totals: {
    work: totals.work,
    tax: totals.tax,
    taxIn: totals.taxIn,
    total: totals.total,
    totalWithTax: totals.totalWithTax,
    deposit: totals.deposit,
    balance: totals.balance,
    agreed: totals.agreed,
  },
  offer: OFFER.en as Readonly<Record<keyof typeof OFFER.en, string>>,
  hand: {
    next: hand.next,
    pictures: hand.pictures,
    taken: hand.taken,
    parts: hand.parts,
    states: hand.states,
    meter: hand.meter,
    hoursRead: hand.hoursRead,
    keys: hand.keys,
    fuel: hand.fuel,
    fuels: hand.fuels,
    accessories: hand.accessories,
    runs: hand.runs,
    runsYes: hand.runsYes,
    runsNo: hand.runsNo,
    made: hand.made,
    strapsOn: hand.strapsOn,
    left: hand.left,
    open: hand.open,
    openHint: hand.openHint,
    heard: hand.heard,
    missingHeard: hand.missingHeard,
    openCaution: hand.openCaution,
    leave: hand.leave,
    unsignedOutcome: hand.unsignedOutcome,
    signedOutcome: hand.signedOutcome,
    backToIt: hand.backToIt,
    signIt: hand.signIt,
    sign: hand.sign,
    signHint: hand.signHint,
    recap: hand.recap,
    due: hand.due,
    dueHint: hand.dueHint,
    name: hand.name,
    ink: hand.ink,
    inkLabel: hand.inkLabel,
    clear: hand.clear,
    missingName: hand.missingName,
    missingInk: hand.missingInk,
    saved: hand.saved,
    facts: {
      condition: hand.facts.condition,
      made: hand.facts.made,
      left: hand.facts.left,
    },
  },
}

/** What a customer reads while the phone is in their hands. */
export type ReaderWords = typeof english
