import { type Language, TAG_LETTERS } from '../contract.ts'

const SERIAL: Readonly<Record<Language, string>> = { en: 'serial', es: 'n.º de serie' }

/**
 * The machine as the customer reads it: "Hartvale GT 18 garden tractor, serial 0042"; in Spanish the
 * kind comes first.
 *
 * Twin: `machine_text` in `shopapi/machines/rules.py`.
 */
export function machineText(
  machine: { kind: string; make: string; model: string; serial: string },
  language: Language,
): string {
  const { kind, make, model } = machine
  const name = (language === 'es' ? [kind, make, model] : [make, model, kind]).filter(Boolean).join(' ')
  return machine.serial ? `${name}, ${SERIAL[language] ?? SERIAL.en} ${machine.serial}` : name
}

/** Six letters of a machine's id, as printed on its tag: "7KQ-2MD". Twin: `short_code` in `shopapi/machines/rules.py`. */
export function shortCode(id: string): string {
  let rest = Number(BigInt(`0x${id.replaceAll('-', '').slice(-12)}`) & 0x3fffffffn)
  let letters = ''
  for (let count = 0; count < 6; count++) {
    letters = (TAG_LETTERS[rest % 32] ?? '') + letters
    rest = Math.floor(rest / 32)
  }
  return `${letters.slice(0, 3)}-${letters.slice(3)}`
}
