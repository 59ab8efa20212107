import { en } from '../../../domain/words'

/** How a customer may want to be reached, for a choice. */
export const CONTACT_WISHES = [
  { value: '' as const, label: en.intake.noWish },
  ...(['call', 'text', 'email'] as const).map((value) => ({ value, label: en.contactWishes[value] })),
]
