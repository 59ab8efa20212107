import { CALCULATOR_NAMES } from '../../../domain/bench/calculators/calculators'
import { benchCalculators } from '../../../domain/words/bench'
import { abouts, names } from '../../../domain/words/calculators'
import { List, ListItem } from '../../components/List'
import { ShopPage } from '../../ShopPage'

/** All calculators; opened from a job's bench, it leads back there. */
export function Calculators({ jobId }: { jobId?: string }) {
  return (
    <ShopPage title={benchCalculators.title} back={jobId ? { at: 'job-bench', id: jobId } : undefined}>
      <List items={CALCULATOR_NAMES} keyOf={(name) => name} empty="">
        {(name) => (
          <ListItem
            title={names[name]}
            details={abouts[name]}
            to={{ at: 'calculator', name, ...(jobId && { jobId }) }}
          />
        )}
      </List>
    </ShopPage>
  )
}
