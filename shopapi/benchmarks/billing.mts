// Times the phone's own calculation of invoices: reads what `billing.py` gives, prints milliseconds. Run by the bundled Node.
import { readFileSync } from 'node:fs'
import { computeTotals } from '../../pwa/src/domain/quotes/totals.ts'

const { repeats, basis, invoices } = JSON.parse(readFileSync(0, 'utf8'))

/** Once to warm up; then each time by itself. */
function measure(work: () => unknown): number[] {
  work()
  return Array.from({ length: repeats }, () => {
    const start = performance.now()
    work()
    return performance.now() - start
  })
}

const totals: number[] = invoices.map((lines: any) => computeTotals(basis, lines).total_minor)
const took = measure(() => invoices.map((lines: any) => computeTotals(basis, lines)))
process.stdout.write(JSON.stringify({ totals, took }))
