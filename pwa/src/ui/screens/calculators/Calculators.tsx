import { CALCULATOR_NAMES } from '../../../domain/bench/calculators/calculators'
import { benchCalculators } from '../../../domain/words/bench'
import { abouts, names } from '../../../domain/words/calculators'
import { List, ListItem } from '../../components/List'
import { ShopPage } from '../../ShopPage'
import { type Caller, callerOf, leadsBackTo, READING_NAMES } from './caller'

/** All calculators; opened from a job's bench or a reading, it leads back there. For a reading only those that give one. */
export function Calculators({ jobId, purpose }: Caller) {
  return (
    <ShopPage title={benchCalculators.title} back={leadsBackTo({ jobId, purpose })}>
      <List items={purpose === 'reading' ? READING_NAMES : CALCULATOR_NAMES} keyOf={(name) => name} empty="">
        {(name) => (
          <ListItem
            title={names[name]}
            details={abouts[name]}
            to={{ at: 'calculator', name, ...callerOf({ jobId, purpose }) }}
          />
        )}
      </List>
    </ShopPage>
  )
}
