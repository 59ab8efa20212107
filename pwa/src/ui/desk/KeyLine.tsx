/** The foot of the desk: what the keys do here. */
export function KeyLine() {
  return <footer class="desk-keys" />
}
