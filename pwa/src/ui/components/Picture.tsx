import { type Place, pathTo } from '../router'

interface ThumbnailProps {
  /** Where it is shown large; left out where it is not saved yet. */
  to?: Place
  url: string | null
  alt: string
  /** What is said in its place while there is nothing to show. */
  instead: string
  caption: string
  /** Where it is on its way; empty when it has arrived. */
  stands: string
  onUnreadable: () => void
}

/** A small picture that opens the large one. */
export function Thumbnail({ to, url, alt, instead, caption, stands, onUnreadable }: ThumbnailProps) {
  const inside = (
    <>
      {url ? (
        <img src={url} alt={alt} onError={onUnreadable} />
      ) : (
        <span class="frame">
          <span class="unseen">{alt}</span>
          {instead}
        </span>
      )}
      {/* The picture is called by it already. */}
      {caption && <b aria-hidden="true">{caption}</b>}
      {stands && <small>{stands}</small>}
    </>
  )
  if (!to) return <span class="thumbnail">{inside}</span>
  return (
    <a class="thumbnail" href={pathTo(to)}>
      {inside}
    </a>
  )
}

interface FileKeyProps {
  words: string
  /** It opens the camera where there is one. */
  camera?: boolean
  many?: boolean
  onFiles: (files: readonly File[]) => void
}

/** A key that asks the phone for pictures. */
export function FileKey({ words, camera, many, onFiles }: FileKeyProps) {
  return (
    <label class="key file">
      {words}
      <input
        type="file"
        accept="image/*"
        multiple={many}
        {...(camera && { capture: 'environment' })}
        onChange={(event) => {
          const files = [...(event.currentTarget.files ?? [])]
          // The same picture may be chosen again.
          event.currentTarget.value = ''
          if (files.length > 0) onFiles(files)
        }}
      />
    </label>
  )
}
