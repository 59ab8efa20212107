import { useEffect, useState } from 'preact/hooks'

/** What the server answers, read when the screen is shown, when `about` changes, and again on demand. */
export function useReading<Value>(
  read: () => Promise<Value>,
  about = '',
): { value: Value | undefined; failed: boolean; again: () => Promise<void> } {
  const [value, setValue] = useState<Value>()
  const [failed, setFailed] = useState(false)

  async function again() {
    setFailed(false)
    try {
      setValue(await read())
    } catch {
      setFailed(true)
    }
  }
  useEffect(() => {
    void again()
  }, [about])
  return { value, failed, again }
}
