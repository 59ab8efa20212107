import { en } from '../../../domain/words'
import { findingsOf } from '../../../store/findings'
import { complaintsOf } from '../../../store/jobs'
import { List, ListItem } from '../../components/List'
import { Section } from '../../components/Section'
import { PictureStrip } from '../../features/pictures/Pictures'

const t = en.job

/** What the customer said about a job's machine; nothing where there is nothing. */
export function Complaints({ id }: { id: string }) {
  if (!complaintsOf(id).length) return null
  return (
    <Section title={t.complaints}>
      <List items={complaintsOf(id)} keyOf={(complaint) => complaint.id} empty="">
        {(complaint) => <ListItem title={complaint.words} details={complaint.happens_when} />}
      </List>
    </Section>
  )
}

/** What was found on it, each with its pictures; nothing where there is nothing. */
export function Findings({ id }: { id: string }) {
  if (!findingsOf(id).length) return null
  return (
    <Section title={t.findings} end={findingsOf(id).length}>
      <List items={findingsOf(id)} keyOf={(finding) => finding.id} empty="">
        {(finding) => (
          <>
            <ListItem
              to={{ at: 'finding', id: finding.id }}
              title={finding.words}
              value={en.ranks[finding.rank]}
              details={[finding.consequence, en.decisions[finding.decided]].filter(Boolean).join(' · ')}
            />
            <PictureStrip about_kind="finding" about_id={finding.id} />
          </>
        )}
      </List>
    </Section>
  )
}
