/**
 * Adds the styles of an area to the page when the area is loaded. A file `styles.ts` of an area that does only this is
 * listed in `package.json` under `sideEffects`; the build drops others that are imported for their effect alone.
 */
export function adoptStyles(css: string): void {
  const sheet = new CSSStyleSheet()
  sheet.replaceSync(css)
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet]
}
