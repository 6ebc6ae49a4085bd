// Parts of a page that follow the shed: with each heartbeat what bears data-fresh is fetched
// anew and put in the old one's place, unless somebody is at work in it.
(function () {
  'use strict';
  var busy = false;

  function show(text) {
    var fresh = new DOMParser().parseFromString(text, 'text/html');
    document.querySelectorAll('[data-fresh]').forEach(function (old) {
      var now = fresh.getElementById(old.id);
      if (!now || now.textContent === old.textContent || atWork(old)) {
        return;
      }
      var held = old.contains(document.activeElement) ? document.activeElement.href : null;
      now = document.importNode(now, true);
      old.replaceWith(now);
      now.querySelectorAll('a').forEach(function (link) {
        if (held && link.href === held) {
          link.focus();
        }
      });
    });
  }

  function atWork(part) {
    var active = document.activeElement;
    return part.contains(active) && active.closest('form') !== null;
  }

  function fetched(answer) {
    if (!answer.ok || answer.redirected) {
      throw new Error('no such page now');
    }
    return answer.text();
  }

  document.addEventListener('heartbeat', function () {
    if (busy || document.hidden) {
      return;
    }
    busy = true;
    fetch(location.pathname + location.search, { cache: 'no-store' })
      .then(fetched)
      .then(show)
      .catch(function () {})
      .then(function () {
        busy = false;
      });
  });
})();
