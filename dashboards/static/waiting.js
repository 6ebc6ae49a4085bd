// Waiting for the first sensor: with each heartbeat the part that tells who is heard is
// fetched anew. When the service falls silent it says so, and strikes out what it showed.
(function () {
  'use strict';
  var SILENT_MS = 15000;
  var heardAt = performance.now();
  var busy = false;

  function show(text) {
    var fresh = new DOMParser().parseFromString(text, 'text/html').getElementById('heard');
    var old = document.getElementById('heard');
    if (!fresh || !old || fresh.textContent === old.textContent) {
      return;
    }
    var held = old.contains(document.activeElement) ? document.activeElement.href : null;
    var now = document.importNode(fresh, true);
    old.replaceWith(now);
    now.querySelectorAll('a').forEach(function (link) {
      if (link.href === held) {
        link.focus();
      }
    });
  }

  function fetched(answer) {
    if (!answer.ok || answer.redirected) {
      throw new Error('no such page now');
    }
    return answer.text();
  }

  document.addEventListener('heartbeat', function () {
    heardAt = performance.now();
    document.documentElement.classList.remove('not-live');
    if (busy) {
      return;
    }
    busy = true;
    fetch(location.pathname, { cache: 'no-store' })
      .then(fetched)
      .then(show)
      .catch(function () {})
      .then(function () {
        busy = false;
      });
  });

  setInterval(function () {
    if (performance.now() - heardAt >= SILENT_MS) {
      document.documentElement.classList.add('not-live');
    }
  }, 1000);
})();
