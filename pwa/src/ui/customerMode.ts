import { type CustomerModeSubject, setCustomerMode } from './heldBy'
import { dismissToast } from './toast'

export { customerMode } from './heldBy'

export function enterCustomerMode(kind: CustomerModeSubject['kind'], id: string): void {
  setCustomerMode({ kind, id })
  dismissToast()
  scrollTo(0, 0)
}

export function leaveCustomerMode(): void {
  setCustomerMode(null)
}
