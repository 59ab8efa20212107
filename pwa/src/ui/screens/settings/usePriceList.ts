import { useState } from 'preact/hooks'
import { priceLists as t } from '../../../domain/words/stock'
import {
  checkPriceList,
  importPriceList,
  type PriceListCheck,
  type PriceListOptions,
  type PriceListRow,
  readPriceList,
  uploadPriceList,
} from '../../../store/priceLists'
import { syncNow } from '../../../store/queue/queue'
import { type RequestState, useRequest } from './useRequest'

const AS_GUESSED: PriceListOptions = { fields: {}, mark: '', replace: true, update_catalog: false }

export interface PriceListState
  extends Pick<RequestState<'upload' | 'check' | 'start'>, 'busy' | 'trouble' | 'retry'> {
  supplierId: string
  /** What an import of the uploaded file would do; null before there is one. */
  check: PriceListCheck | null
  options: PriceListOptions
  /** The list once it is imported. */
  done: PriceListRow | null
  chooseSupplier: (id: string) => void
  take: (file: File) => void
  change: (options: Partial<PriceListOptions>) => void
  start: () => void
}

/** The import of one price list from the choice of its file to its end. */
export function usePriceList(): PriceListState {
  const { ask, ...request } = useRequest<'upload' | 'check' | 'start'>(t.failed)
  const [supplierId, setSupplierId] = useState('')
  const [listId, setListId] = useState('')
  const [check, setCheck] = useState<PriceListCheck | null>(null)
  const [options, setOptions] = useState(AS_GUESSED)
  const [done, setDone] = useState<PriceListRow | null>(null)

  const askCheck = (id: string, wanted: PriceListOptions) => {
    setListId(id)
    setOptions(wanted)
    return ask('check', () => checkPriceList(id, wanted), setCheck)
  }
  const begin = () => {
    setCheck(null)
    setDone(null)
  }
  return {
    ...request,
    supplierId,
    check,
    options,
    done,
    chooseSupplier(id) {
      begin()
      setSupplierId(id)
    },
    take(file) {
      begin()
      void ask(
        'upload',
        () => uploadPriceList(supplierId, file),
        (id) => askCheck(id, AS_GUESSED),
      )
    },
    change: (changed) => void askCheck(listId, { ...options, ...changed }),
    start: () =>
      void ask(
        'start',
        () => importPriceList(listId, options),
        () =>
          ask(
            'start',
            () => readPriceList(listId),
            (row) => {
              setDone(row)
              syncNow()
            },
          ),
      ),
  }
}
