import { computed } from '@preact/signals'
import { SET_UP_STEPS, type SetUpStep } from '../domain/contract'
import { customers } from './customers'
import { yard } from './dispatch'
import { openJobs } from './jobs'
import { priceBook } from './priceBook'
import { editShop, members, shop } from './shop'

/** A step of the first set-up. Whether it is done is seen in the shop's data; the phone adds what only it knows. */
export interface SetUpState {
  step: SetUpStep
  done: boolean
  skipped: boolean
}

function isDone(step: SetUpStep, installed: boolean): boolean {
  switch (step) {
    case 'address':
      return Boolean(shop.value?.address.trim())
    case 'yard':
      return Boolean(yard.value?.lat)
    case 'people':
      return members.value.filter(({ active }) => active).length > 1
    case 'customers':
      return customers.value.length > 0
    case 'install':
      return installed
    default:
      return priceBook.value?.confirmed.includes(step) ?? false
  }
}

const skipped = computed((): readonly SetUpStep[] => shop.value?.skipped_steps ?? SET_UP_STEPS)

/** The steps in their order. `installed`: the app is on this phone's home screen. */
export const setUpSteps = (installed: boolean): SetUpState[] =>
  SET_UP_STEPS.map((step) => ({
    step,
    done: isDone(step, installed),
    skipped: skipped.value.includes(step),
  }))

/** Whether the first set-up still leads the owner: the shop has no job yet and a step is open. */
export const leadsSetUp = (): boolean =>
  !openJobs.value.length && setUpSteps(true).some(({ done, skipped }) => !done && !skipped)

/** Takes a step off the list of today; it stays in the list of all steps. */
export async function skipStep(step: SetUpStep): Promise<void> {
  const seen = shop.value
  if (seen && !seen.skipped_steps.includes(step))
    await editShop(seen, { skipped_steps: [...seen.skipped_steps, step] })
}
