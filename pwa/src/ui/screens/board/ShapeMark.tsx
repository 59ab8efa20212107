import { outlineOf } from '../../components/mapLayers'

/** The mark of a rig, as on the map; with a number in it. */
export function ShapeMark({ shape, text }: { shape: number; text?: string }) {
  return (
    <svg class="shape-mark" viewBox="-66 -66 132 132" aria-hidden="true">
      <path d={outlineOf(shape)} class="fill-background" stroke="currentColor" stroke-width="10" />
      {text && (
        <text dy="0.36em" text-anchor="middle" font-size="66" font-weight="800" fill="currentColor">
          {text}
        </text>
      )}
    </svg>
  )
}
