import { useState } from 'preact/hooks'
import type { Site, Stop } from '../../../domain/contract'
import { pairWords, positionOf, readPair } from '../../../domain/geo/places'
import { en } from '../../../domain/words'
import { editSite } from '../../../store/customerEdits'
import { permissions } from '../../../store/session/session'
import { Button, ButtonRow } from '../../components/Button'
import { locateHere } from '../../features/dispatch/locateHere'
import { sureness } from '../../features/dispatch/positionText'
import { saveWithToast, showToast } from '../../toast'

const t = en.dispatch.place

/** Whence the position of a stop's place comes, and one tap that keeps the phone's own for it, for next time too. */
export function KeepPosition({ row, site }: { row: Stop; site: Site | undefined }) {
  const [status, setStatus] = useState('')
  // The machine is not at its site.
  if (!site || row.lat !== null || row.from_rig_id !== null) return null
  const about = positionOf(site) ? sureness(site.position_source, site.position_within_m) : ''
  const sure = positionOf(site) !== null && site.position_source === 'here'

  async function keep(place: Site) {
    setStatus(t.looking)
    const found = await locateHere()
    setStatus(found ? '' : t.noHere)
    if (!found) return
    const pair = readPair(pairWords(found))
    const here = { ...pair, position_source: 'here', position_within_m: found.withinM } as const
    const { lat, lon, position_source, position_within_m } = place
    const saved = await saveWithToast(() => editSite(place, here))
    if (saved)
      showToast(t.kept, () =>
        editSite({ ...place, ...here }, { lat, lon, position_source, position_within_m }),
      )
  }
  return (
    <>
      {about && <p class="hint">{about}</p>}
      {!sure && permissions.value.has('manage_customers') && (
        <ButtonRow>
          <Button label={t.keepHere} onPress={() => void keep(site)} />
        </ButtonRow>
      )}
      <p role="status">{status}</p>
    </>
  )
}
