// Swagger UI gives HTML as text. The browser's own sanitizer takes scripts out of it first; a browser that has Trusted
// Types but no sanitizer gets it as Swagger UI has sanitized it.
if (window.trustedTypes) {
  window.trustedTypes.createPolicy('default', {
    createHTML: function (text) {
      var box = document.createElement('div')
      if (!box.setHTML) return text
      box.setHTML(text, { sanitizer: {} })
      return box.innerHTML
    },
  })
}
