/**
 * The machine as the owner reads it: "garden tractor Hartvale GT 18, serial 0042".
 *
 * Twin: `machine_text` in `shopapi/machines/rules.py`.
 */
export function machineText(machine: { kind: string; make: string; model: string; serial: string }): string {
  const name = [machine.kind, machine.make, machine.model].filter(Boolean).join(' ')
  return machine.serial ? `${name}, serial ${machine.serial}` : name
}
