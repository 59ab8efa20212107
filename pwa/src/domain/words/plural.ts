const english = new Intl.PluralRules('en')

/** "1 thing", "3 things": the count with the form English wants for it. */
export function counted(count: number, one: string, many: string): string {
  return `${count} ${english.select(count) === 'one' ? one : many}`
}

/** "1 stop", "3 stops". */
export function stops(count: number): string {
  return counted(count, 'stop', 'stops')
}
