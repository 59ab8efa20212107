// Counts again whenever a choice changes. The server calculates; without this script the button does the same.
(function () {
  var form = document.forms[0]
  var button = document.getElementById('count')
  if (!form || !button || !window.FormData || !window.URLSearchParams) return
  button.parentNode.hidden = true
  var latest = 0
  var leaving = false
  window.addEventListener('pagehide', function () {
    leaving = true
  })
  function showButton() {
    button.parentNode.hidden = leaving
  }
  form.addEventListener('change', function () {
    var turn = ++latest
    var sent = new FormData(form)
    sent.append('step', 'count')
    var request = new XMLHttpRequest()
    request.open('POST', form.action)
    // A document at once: no text is parsed as HTML by this page, which its content policy forbids.
    request.responseType = 'document'
    request.onload = function () {
      if (turn !== latest) return
      var fresh = request.status === 200 && request.response && request.response.getElementById('sums')
      if (fresh) document.getElementById('sums').replaceWith(fresh)
      else showButton()
    }
    request.onerror = showButton
    request.send(new URLSearchParams(sent))
  })
})()
