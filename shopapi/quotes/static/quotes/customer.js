// Counts again whenever a choice changes. The server calculates; without this script the button does the same.
(function () {
  var form = document.forms[0]
  var button = document.getElementById('count')
  if (!form || !button || !window.fetch || !window.FormData || !window.DOMParser) return
  button.parentNode.hidden = true
  var latest = 0
  var leaving = false
  window.addEventListener('pagehide', function () {
    leaving = true
  })
  form.addEventListener('change', function () {
    var turn = ++latest
    var sent = new FormData(form)
    sent.append('step', 'count')
    fetch(form.action, { method: 'POST', body: new URLSearchParams(sent) })
      .then(function (answer) {
        if (!answer.ok) throw new Error(String(answer.status))
        return answer.text()
      })
      .then(function (text) {
        if (turn !== latest) return
        var fresh = new DOMParser().parseFromString(text, 'text/html').getElementById('sums')
        if (fresh) document.getElementById('sums').replaceWith(fresh)
      })
      .catch(function () {
        button.parentNode.hidden = leaving
      })
  })
})()
