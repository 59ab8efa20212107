/** Positions, and links to the phone's own programs. Twin of `read_position` in `shopapi/planner/travel.py`. */

import { PLACE_NAME_CHARACTERS } from '../contract'

/** Degrees on WGS 84. */
export interface Position {
  lat: number
  lon: number
}

const NUMBER = '[-+]?\\d{1,3}(?:\\.\\d+)?'
// RFC 5870: geo:latitude,longitude[,altitude][;parameters]
const GEO_URI = new RegExp(`^geo:(${NUMBER}),(${NUMBER})(?:,${NUMBER})?(;.*)?$`, 'i')
const PAIR = new RegExp(`^(${NUMBER})\\s*°?\\s*([NS])?\\s*[,;\\s]\\s*(${NUMBER})\\s*°?\\s*([EW])?$`, 'i')

/** A position from what a person pastes: a `geo:` URI, or latitude and longitude in degrees; null for anything else. */
export function readPosition(text: string): Position | null {
  const geo = GEO_URI.exec(text.trim())
  if (geo) {
    const crs = /;crs=([^;]+)/i.exec(geo[3] ?? '')?.[1]
    return crs !== undefined && crs.toLowerCase() !== 'wgs84' ? null : onGlobe(Number(geo[1]), Number(geo[2]))
  }
  const pair = PAIR.exec(text.trim())
  if (!pair) return null
  const south = pair[2]?.toUpperCase() === 'S' ? -1 : 1
  const west = pair[4]?.toUpperCase() === 'W' ? -1 : 1
  return onGlobe(Number(pair[1]) * south, Number(pair[3]) * west)
}

function onGlobe(lat: number, lon: number): Position | null {
  return Math.abs(lat) <= 90 && Math.abs(lon) <= 180 ? { lat, lon } : null
}

/** The position of a row that keeps it as text. */
export function positionOf(row: { lat: string | null; lon: string | null } | undefined): Position | null {
  if (!row || row.lat === null || row.lon === null) return null
  return { lat: Number(row.lat), lon: Number(row.lon) }
}

/** Six decimal places (a tenth of a metre), as stored by the server. */
export function degrees(value: number): string {
  return String(Math.round(value * 1e6) / 1e6)
}

/** "43.615, -116.202", which can be pasted again. */
export function pairWords({ lat, lon }: Position): string {
  return `${degrees(lat)}, ${degrees(lon)}`
}

/** Latitude and longitude as the rows keep them; null for an empty field, undefined for one that cannot be read. */
export function readPair(typed: string): { lat: string | null; lon: string | null } | undefined {
  if (!typed.trim()) return { lat: null, lon: null }
  const position = readPosition(typed)
  if (!position) return undefined
  const [lat = '', lon = ''] = pairWords(position).split(', ')
  return { lat, lon }
}

/**
 * The name of a site without a name: the first line of its address or directions. Twin: `name_of_site` in
 * `shopapi/customers/rules/customer.py`.
 */
export const placeName = (...known: readonly string[]): string =>
  (known.map((text) => text.trim()).find(Boolean) ?? '')
    .split('\n')[0]
    ?.trim()
    .slice(0, PLACE_NAME_CHARACTERS) ?? ''

/** The text of a row's position in its field. */
export function typedPair(row: { lat: string | null; lon: string | null } | null | undefined): string {
  const position = row && positionOf(row)
  return position ? pairWords(position) : ''
}

/** RFC 5870: opens the phone's own navigation. */
export function geoLink({ lat, lon }: Position): string {
  return `geo:${degrees(lat)},${degrees(lon)}`
}

/** RFC 3966: a `tel:` link has digits only, with a plus in front of an international number. */
export function telLink(phone: string): string {
  return `tel:${digitsOf(phone)}`
}

/** RFC 5724: the text goes into the phone's own messages, where its owner sends it. */
export function smsLink(phone: string, words: string): string {
  return `sms:${digitsOf(phone)}?body=${encodeURIComponent(words)}`
}

function digitsOf(phone: string): string {
  return (phone.trim().startsWith('+') ? '+' : '') + phone.replace(/\D/gu, '')
}

const EQUATOR_M = 6_378_137
const FLATTENING = 1 / 298.257223563

/**
 * Straight metres between two positions on WGS 84, by the ellipsoid's radii of curvature midway. Off the geodesic by
 * less than a thousandth up to some hundred kilometres away from the poles; the server computes the geodesic itself.
 */
export function straightMetres(one: Position, other: Position): number {
  const middle = ((one.lat + other.lat) / 2) * (Math.PI / 180)
  const flat = FLATTENING * (2 - FLATTENING)
  const w = 1 - flat * Math.sin(middle) ** 2
  const north = ((EQUATOR_M * (1 - flat)) / w ** 1.5) * (other.lat - one.lat) * (Math.PI / 180)
  const east = (EQUATOR_M / Math.sqrt(w)) * Math.cos(middle) * around(other.lon - one.lon) * (Math.PI / 180)
  return Math.hypot(north, east)
}

/** The shorter way around the globe. */
function around(degrees: number): number {
  return ((degrees + 540) % 360) - 180
}

const isRepeated = (label: string, address: string): boolean =>
  address === label || address.startsWith(`${label}\n`) || address.startsWith(`${label},`)

/**
 * The label and the address of a site as lines; one line where the address begins with the label: a site may be named
 * after it. Twin: `place_lines` in `shopapi/customers/rules/customer.py`.
 */
export const placeLines = (label: string, address: string): string[] =>
  (isRepeated(label, address) ? [address] : [label, address]).filter(Boolean)

/** What an address adds to the label that is shown beside it. */
export const restOfPlace = (label: string, address: string): string =>
  isRepeated(label, address) ? address.slice(label.length).replace(/^[\s,]+/, '') : address
