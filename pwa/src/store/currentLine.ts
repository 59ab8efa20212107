import { signal } from '@preact/signals'
import type { Successors } from '../domain/quotes/matching'
import { quote, quoteLine } from './quotes'

/** `successorsOn`, loaded when it is first needed: it takes the calculation of quotes along, too much for the start. */
const rule = signal<{ successorsOn: (job_id: string) => Successors } | null>(null)

/**
 * The line that replaced a line of a replaced quote; any other line as it is. Until the rule is loaded the replaced line
 * is given, whose time counts for the same.
 */
export function currentLine(line_id: string | null): string | null {
  const row = line_id === null ? undefined : quote(quoteLine(line_id)?.quote_id ?? '')
  if (line_id === null || row?.state !== 'replaced') return line_id
  if (rule.value) return rule.value.successorsOn(row.job_id).get(line_id) ?? line_id
  void loadRule()
  return line_id
}

async function loadRule(): Promise<void> {
  try {
    rule.value = await import('./successors')
  } catch {
    // Without signal and not stored yet: asked for again the next time.
  }
}
