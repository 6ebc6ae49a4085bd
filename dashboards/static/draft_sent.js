// A look that the server has saved needs no draft any more.
(function () {
  'use strict';
  var saved = document.querySelector('[data-saved]');
  if (!saved) {
    return;
  }
  try {
    for (var n = localStorage.length - 1; n >= 0; n -= 1) {
      var key = localStorage.key(n);
      if (key && key.indexOf('look:') === 0) {
        var draft = JSON.parse(localStorage.getItem(key));
        if (draft && draft.fields && draft.fields.form_id === saved.dataset.saved) {
          localStorage.removeItem(key);
        }
      }
    }
  } catch (error) { /* without storage there is no draft */ }
})();
