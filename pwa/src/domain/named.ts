/**
 * A table of words by the values of an enum. A value of a newer server that this app does not know is shown as its own
 * text: "too_muddy" as "too muddy".
 */
export function named<Table extends object>(table: Table): Table {
  return new Proxy(table, {
    get: (known, value) =>
      Reflect.get(known, value) ?? (typeof value === 'string' ? value.replaceAll('_', ' ') : undefined),
  })
}
