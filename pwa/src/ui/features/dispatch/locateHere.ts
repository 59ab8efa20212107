import type { Position } from '../../../domain/geo/places'

/** Past this the phone knows no more than the postal code does. */
const MOST_M = 100_000

/** Where the phone is, and within how many metres by its own account; null where it does not say. */
export function locateHere(): Promise<(Position & { withinM: number }) | null> {
  const { geolocation } = navigator
  if (!geolocation) return Promise.resolve(null)
  return new Promise((resolve) =>
    geolocation.getCurrentPosition(
      ({ coords: { latitude, longitude, accuracy } }) =>
        resolve({ lat: latitude, lon: longitude, withinM: Math.min(MOST_M, Math.ceil(accuracy)) }),
      () => resolve(null),
      { enableHighAccuracy: true, timeout: 20_000, maximumAge: 30_000 },
    ),
  )
}
