/** A fresh IndexedDB in every test file; a test that needs a page names its environment itself. */
import 'fake-indexeddb/auto'
