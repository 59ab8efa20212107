/**
 * Adds the styles of an area to the page when the area is loaded. Called by the file of a screen: the build drops a
 * file that is imported for its effect alone.
 */
export function adoptStyles(css: string): void {
  const sheet = new CSSStyleSheet()
  sheet.replaceSync(css)
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet]
}
