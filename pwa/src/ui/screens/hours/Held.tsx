import { useEffect } from 'preact/hooks'
import { en } from '../../../domain/words'
import { readHeld } from '../../../store/hours'
import { Part } from '../../components/Part'
import { figures } from '../../shopFigures'
import { Sheet } from '../Sheet'
import { NotReached, useAsked } from './asked'

const its = en.hours

export function Held() {
  const { answer, failed, ask } = useAsked(readHeld)
  useEffect(() => void ask(), [])
  return (
    <Sheet title={its.reports.held} back={{ at: 'reports' }}>
      {failed && <NotReached onRetry={() => void ask()} />}
      {!failed && !answer && <p class="blank">{en.app.loading} …</p>}
      {answer?.rows.map(({ level, asked, held, promised }) => (
        <Part key={level} title={its.levels[level as keyof typeof its.levels] ?? level}>
          <p class="lines">
            <b>{its.heldOf(held, asked)}</b>
          </p>
          <p class="lines">{its.promised(figures.value.number(promised))}</p>
        </Part>
      ))}
      {answer && !answer.rows.length && (
        <div class="blank">
          <b>{its.noneHeld}</b>
          <p>{its.noneHeldHint}</p>
        </div>
      )}
    </Sheet>
  )
}
