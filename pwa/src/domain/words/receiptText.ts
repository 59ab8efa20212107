/** The text of a receipt as a message, in the language of the customer. */

import type { Language, PaymentKind, PaymentMethod } from '../contract.ts'

export interface ReceiptFacts {
  shop: string
  kind: PaymentKind
  method: PaymentMethod
  amount: string
  /** Empty without one. */
  tip: string
  day: string
  job: string
  /** What is still open; empty where nothing is known of a bill. */
  open: string
  is_paid: boolean
}

const TEXTS = {
  en: {
    kinds: { payment: 'Payment', deposit: 'Deposit', refund: 'Refund', tip: 'Tip' },
    methods: {
      cash: 'cash',
      check: 'check',
      card: 'card',
      transfer: 'bank transfer',
      credit: 'your credit with us',
      other: 'another way',
    },
    title: (kind: string, shop: string) => `${kind} receipt from ${shop}`,
    line: ({ amount, day }: ReceiptFacts, how: string) => `${amount} on ${day}, by ${how}.`,
    tip: (tip: string) => `Tip: ${tip}. Thank you!`,
    job: (job: string) => `For job ${job}.`,
    open: (open: string) => `Still open: ${open}.`,
    paid: 'Paid in full. Thank you!',
  },
  es: {
    kinds: { payment: 'pago', deposit: 'anticipo', refund: 'reembolso', tip: 'propina' },
    methods: {
      cash: 'en efectivo',
      check: 'con cheque',
      card: 'con tarjeta',
      transfer: 'por transferencia',
      credit: 'con su saldo a favor',
      other: 'de otra forma',
    },
    title: (kind: string, shop: string) => `Recibo de ${kind} de ${shop}`,
    line: ({ amount, day }: ReceiptFacts, how: string) => `${amount}, ${day}, ${how}.`,
    tip: (tip: string) => `Propina: ${tip}. ¡Gracias!`,
    job: (job: string) => `Trabajo ${job}.`,
    open: (open: string) => `Queda por pagar: ${open}.`,
    paid: 'Pagado por completo. ¡Gracias!',
  },
}

/** Subject and text of a receipt. */
export function receiptText(language: Language, facts: ReceiptFacts): { subject: string; body: string } {
  const t = TEXTS[language] ?? TEXTS.en
  const subject = t.title(t.kinds[facts.kind] ?? facts.kind, facts.shop)
  const lines = [
    `${subject}:`,
    t.line(facts, t.methods[facts.method] ?? facts.method),
    facts.tip && t.tip(facts.tip),
    t.job(facts.job),
    facts.open ? t.open(facts.open) : facts.is_paid && t.paid,
  ]
  return { subject, body: lines.filter(Boolean).join('\n') }
}
