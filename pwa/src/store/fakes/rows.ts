import type { Customer } from '../../domain/contract'

/** A customer created elsewhere. */
export function customerRow(name: string): Customer {
  return {
    id: `id of ${name}`,
    created_at: '2026-04-01T08:00:00.000Z',
    changed_at: '2026-04-01T08:00:00.000Z',
    name,
    person: '',
    phone: '',
    second_phone: '',
    email: '',
    contact_by: '',
    address: '',
    country: '',
    notes: '',
    tax_exempt: false,
    exempt_reason: '',
    language: 'en',
    archived: false,
  }
}
