// Covers the page when nothing was heard for 15 s. It knows nothing of the event stream:
// whoever hears a good heartbeat calls clutchweatherHeard. Durations by the monotonic clock.
(function () {
  'use strict';
  var LIMIT_MS = 15000;
  var root = document.documentElement;
  var heardAt = performance.now();
  var heardOn = Date.now();

  window.clutchweatherHeard = function (clock) {
    heardAt = performance.now();
    heardOn = Date.now();
    root.classList.remove('not-live');
    var cover = document.getElementById('cover');
    if (cover) {
      cover.className = cover.className === 'wait-a' ? 'wait-b' : 'wait-a';
    }
    var last = document.getElementById('last-heard');
    if (last && clock) {
      last.textContent = clock;
    }
  };

  function look() {
    if (performance.now() - heardAt >= LIMIT_MS) {
      root.classList.add('not-live');
    }
  }

  // The monotonic clock may stand still while the device sleeps: on waking, ask the other.
  function wake() {
    if (Date.now() - heardOn >= LIMIT_MS) {
      root.classList.add('not-live');
    }
    look();
  }

  setInterval(look, 1000);
  document.addEventListener('visibilitychange', wake);
  window.addEventListener('pageshow', wake);
  window.addEventListener('online', wake);
  window.addEventListener('offline', wake);
})();
