export { Machine } from './Machine'
export { ChangeMachine, NewMachine } from './MachineForm'
export { Meter } from './Meter'
