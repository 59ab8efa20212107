// Times the phone's own code of the bench: reads what `bench.py` gives, prints milliseconds by name. Run by the bundled Node.
import { readFileSync } from 'node:fs'
import { explain } from '../../pwa/src/domain/bench/diagnosis/explanations.ts'
import { putBackOrder } from '../../pwa/src/domain/bench/putBack.ts'
import { advise } from '../../pwa/src/domain/bench/diagnosis/nextTest.ts'

const { repeats, circuit, cases, teardown } = JSON.parse(readFileSync(0, 'utf8'))

/** Once to warm up, as a phone's second diagnosis is; then each time by itself. */
function measure(work: () => unknown): number[] {
  work()
  return Array.from({ length: repeats }, () => {
    const start = performance.now()
    work()
    return performance.now() - start
  })
}

const found: Record<string, number[]> = {}
for (const [name, seen] of Object.entries<any>(cases))
  found[name] = measure(() => advise(circuit, explain(circuit, seen).found, circuit.minutes, 6))
found['put_back_order'] = measure(() => putBackOrder(teardown.steps, teardown.rules))
process.stdout.write(JSON.stringify(found))
