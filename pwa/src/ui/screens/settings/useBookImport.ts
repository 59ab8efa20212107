import { useEffect, useRef, useState } from 'preact/hooks'
import { LARGEST_ADDRESS_BOOK } from '../../../domain/contract'
import { importBook as t } from '../../../domain/words/importBook'
import {
  type BookImport,
  checkImport,
  choose,
  type ImportCheck,
  type ImportOptions,
  readImport,
  readImports,
  startImport,
  undoImport,
  upload,
} from '../../../store/customerImports'
import { syncNow } from '../../../store/queue/queue'
import { showToast } from '../../toast'
import { type RequestState, useRequest } from './useRequest'

const POLL_MS = 1000
const AS_GUESSED: ImportOptions = { fields: {}, add_rows: [], add_similar: false }

export interface BookImportState
  extends Pick<RequestState<'read' | 'upload' | 'check' | 'start'>, 'busy' | 'trouble' | 'retry'> {
  /** What an import of the uploaded file would do; null before there is one. */
  check: ImportCheck | null
  options: ImportOptions
  /** The import that was started here, or is under way. */
  started: BookImport | null
  /** Imports that were done, also those that were undone. */
  ended: readonly BookImport[]
  take: (file: File) => void
  change: (options: Partial<ImportOptions>) => void
  start: () => void
  undo: (id: string) => void
}

/** One import from the choice of its file to its end; one that was left on the way is taken up again. */
export function useBookImport(): BookImportState {
  const { ask, ...request } = useRequest<'read' | 'upload' | 'check' | 'start'>(t.noSignal)
  const { imports, setImports, show } = useImports()
  const [importId, setImportId] = useState('')
  const [check, setCheck] = useState<ImportCheck | null>(null)
  const [options, setOptions] = useState(AS_GUESSED)
  // Once a file is chosen here, no former one is taken up.
  const chosen = useRef(false)

  const askCheck = (id: string, wanted: ImportOptions, show: (found: ImportCheck) => void = setCheck) => {
    setImportId(id)
    setOptions(wanted)
    return ask('check', () => checkImport(id, wanted), show)
  }
  /** Does something with an import and reads what has become of it. */
  const act = (work: () => ReturnType<typeof undoImport>, id: string, words?: string) => {
    const readAgain = () => ask('start', () => readImport(id), show)
    void ask('start', work, () => {
      if (words) showToast(words)
      return readAgain()
    })
  }

  useEffect(() => {
    void ask('read', readImports, (rows) => {
      setImports(rows)
      const last = rows.at(-1)
      if (last?.state === 'running' && !chosen.current) setImportId(last.id)
      if (last?.state === 'uploaded' && !chosen.current)
        // One left with nothing to go on is not brought up again: the screen begins with the choice of a file.
        void askCheck(last.id, AS_GUESSED, (found) => found.names_missing || setCheck(found))
    })
  }, [])
  const started =
    imports.find(({ id, state }) => id === importId && (state === 'running' || state === 'done')) ?? null
  usePollingOf(started, show)

  return {
    ...request,
    check: started ? null : check,
    options,
    started,
    ended: imports.filter(({ state }) => state === 'done' || state === 'undone'),
    take(file) {
      const book = choose(file)
      chosen.current = true
      setCheck(null)
      setImportId('')
      void ask(
        'upload',
        async () => (file.size > LARGEST_ADDRESS_BOOK ? { words: t.tooLarge } : upload(book)),
        () => askCheck(book.id, AS_GUESSED),
      )
    },
    change: (changed) => void askCheck(importId, { ...options, ...changed }),
    start: () => act(() => startImport(importId, options), importId),
    undo: (id) => act(() => undoImport(id), id, t.undoing),
  }
}

/** The imports of the shop as last read. */
function useImports() {
  const [imports, setImports] = useState<readonly BookImport[]>([])
  return {
    imports,
    setImports,
    show(row: BookImport) {
      setImports((all) => [...all.filter(({ id }) => id !== row.id), row])
      if (row.state === 'done' || row.state === 'undone') syncNow()
    },
  }
}

/** Reads an import every second while it runs; without a signal it waits. */
function usePollingOf(row: BookImport | null, show: (row: BookImport) => void): void {
  const runningId = row?.state === 'running' ? row.id : ''
  useEffect(() => {
    if (!runningId) return
    const timer = setInterval(async () => {
      const answer = await readImport(runningId)
      if ('value' in answer) show(answer.value)
    }, POLL_MS)
    return () => clearInterval(timer)
  }, [runningId])
}
