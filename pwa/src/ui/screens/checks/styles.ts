import styles from './checks.css?inline'

const sheet = new CSSStyleSheet()
sheet.replaceSync(styles)
document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet]
