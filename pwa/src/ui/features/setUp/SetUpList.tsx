import type { SetUpStep } from '../../../domain/contract'
import { en } from '../../../domain/words'
import { openJobs } from '../../../store/jobs'
import { type SetUpState, setUpSteps, skipStep } from '../../../store/setUp'
import { Button, ButtonRow, PrimaryButton } from '../../components/Button'
import { ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { isInstalled } from '../../install'
import { buildPath, type Route } from '../../router'
import { saveWithToast } from '../../toast'

const t = en.setUp

/** The screen of a step. `list`: the screen of the list, to return to; at the desk another screen is open beside it. */
function routeOf(step: SetUpStep, list: Route): Route {
  switch (step) {
    case 'address':
      return { at: 'shop' }
    case 'yard':
      return { at: 'yard' }
    case 'people':
      return { at: 'members' }
    case 'customers':
      return { at: 'import' }
    case 'install':
      return { at: 'settings' }
    default:
      return { at: 'prices', of: step, from: buildPath(list) }
  }
}

/** What is missing in a new shop: the next step to press, then the others, the done ones last. */
export function SetUpList({ withSkipped }: { withSkipped?: boolean }) {
  const list: Route = { at: withSkipped ? 'set-up' : 'today' }
  const steps = setUpSteps(isInstalled())
  const open = steps.filter(({ done, skipped }) => !done && (withSkipped || !skipped))
  const next = open.find(({ skipped }) => !skipped)
  const done = steps.filter((step) => step.done)
  return (
    <Section title={t.title} hint={t.lead(done.length, steps.length)}>
      {next && (
        <>
          <PrimaryButton
            label={t.steps[next.step].title}
            hint={t.steps[next.step].hint}
            to={routeOf(next.step, list)}
          />
          <ButtonRow stacked>
            <Button
              wide
              label={t.skip}
              ariaLabel={`${t.skip}: ${t.steps[next.step].title}`}
              onPress={() => void saveWithToast(() => skipStep(next.step), t.skipped)}
            />
          </ButtonRow>
        </>
      )}
      <ul class="list">
        {[...open.filter((step) => step !== next), ...done].map((step) => (
          <li key={step.step}>
            <StepRow state={step} list={list} />
          </li>
        ))}
      </ul>
      <p class="hint">{t.first}</p>
    </Section>
  )
}

function StepRow({ state: { step, done, skipped }, list }: { state: SetUpState; list: Route }) {
  const { title, hint } = t.steps[step]
  return (
    <ListItem
      title={title}
      details={done ? undefined : hint}
      value={done ? t.done : skipped ? t.skipped : undefined}
      to={routeOf(step, list)}
    />
  )
}

/** On Today: the list while the shop has no job yet, then one line, until every step is done or skipped. */
export function SetUpToday() {
  const left = setUpSteps(isInstalled()).filter(({ done, skipped }) => !done && !skipped).length
  if (!left) return null
  if (!openJobs.value.length) return <SetUpList />
  return <ListItem title={t.title} value={t.left(left)} to={{ at: 'set-up' }} />
}
