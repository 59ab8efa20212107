/** Weights in whole kilograms and lengths in whole centimetres, as a shop of either custom writes them. */
export type Units = 'us' | 'metric'

// Both exact by definition since 1959: the avoirdupois pound and the inch.
const KG_A_POUND = 0.45359237
const CM_AN_INCH = 2.54
const M_A_MILE = 1609.344

/** What a person would type for a weight: "1323" pounds or "600" kilograms; empty for nothing. */
export function typedWeight(kg: number | null, units: Units): string {
  if (kg === null) return ''
  return String(units === 'us' ? Math.round(kg / KG_A_POUND) : kg)
}

/** Inches with one place, so that a centimetre comes back as it was; or whole centimetres. */
export function typedLength(cm: number | null, units: Units): string {
  if (cm === null) return ''
  return String(units === 'us' ? Math.round((cm / CM_AN_INCH) * 10) / 10 : cm)
}

export function kilograms(amount: number, units: Units): number {
  return Math.round(units === 'us' ? amount * KG_A_POUND : amount)
}

export function centimetres(amount: number, units: Units): number {
  return Math.round(units === 'us' ? amount * CM_AN_INCH : amount)
}

/** "12.4" miles or kilometres, as decimal text. */
export function farWords(metres: number, units: Units): string {
  return (metres / (units === 'us' ? M_A_MILE : 1000)).toFixed(1)
}
