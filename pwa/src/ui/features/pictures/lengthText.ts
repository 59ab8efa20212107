/** Seconds as minutes and seconds: 0:07, 2:30. */
export function lengthText(seconds: number): string {
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, '0')}`
}
