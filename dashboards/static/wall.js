// Fetches the wall anew when its version changes. A heartbeat counts as heard only when the
// picture on the screen is the one that the server has now.
(function () {
  'use strict';
  var RELOAD_AFTER_MS = 6 * 3600 * 1000;
  var RELOAD_AT_MOST_EVERY_MS = 5 * 60 * 1000;
  var root = document.documentElement;
  var shown = root.dataset.version;
  var build = root.dataset.build;
  var openedAt = performance.now();
  var fetching = false;

  function reload() {
    var last = 0;
    try {
      last = Number(sessionStorage.getItem('reloaded-on')) || 0;
      if (Date.now() - last < RELOAD_AT_MOST_EVERY_MS && Date.now() >= last) {
        return;
      }
      sessionStorage.setItem('reloaded-on', String(Date.now()));
    } catch (error) {
      if (performance.now() - openedAt < RELOAD_AT_MOST_EVERY_MS) {
        return;
      }
    }
    location.reload();
  }

  function show(text, version, night, clock) {
    var parsed = new DOMParser().parseFromString(text, 'image/svg+xml').documentElement;
    if (parsed.id !== 'wall') {
      return;
    }
    document.getElementById('wall').replaceWith(document.adoptNode(parsed));
    root.classList.toggle('night', night);
    shown = version;
    window.clutchweatherHeard(clock);
  }

  function fetchPicture(clock) {
    if (fetching) {
      return;
    }
    fetching = true;
    var stop = new AbortController();
    var patience = setTimeout(function () { stop.abort(); }, 6000);
    fetch('/wall/picture', { cache: 'no-store', signal: stop.signal })
      .then(function (answer) {
        if (!answer.ok) {
          throw new Error(String(answer.status));
        }
        return answer.text().then(function (text) {
          show(text, answer.headers.get('x-wall-version'),
            answer.headers.get('x-wall-night') === 'yes', clock);
        });
      })
      .catch(function () { /* the next heartbeat tries again; until then nothing is heard */ })
      .finally(function () {
        clearTimeout(patience);
        fetching = false;
      });
  }

  document.addEventListener('heartbeat', function (event) {
    var told = event.detail;
    if (told.build !== build || performance.now() - openedAt > RELOAD_AFTER_MS) {
      reload();
    }
    if (told.version === shown) {
      window.clutchweatherHeard(told.clock);
    } else {
      fetchPicture(told.clock);
    }
  });
})();
