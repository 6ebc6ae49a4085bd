// On pages other than the wall: a heartbeat counts only while the shed itself is live; the
// page is fetched anew when something changed and nobody is typing.
(function () {
  'use strict';
  var root = document.documentElement;
  var shown = root.dataset.version;
  var openedAt = performance.now();

  function typing() {
    var active = document.activeElement;
    return Boolean(active && active.closest && active.closest('form'));
  }

  document.addEventListener('heartbeat', function (event) {
    var told = event.detail;
    if (told.live) {
      window.clutchweatherHeard(told.clock);
    }
    if (told.version !== shown && root.dataset.follow === 'yes' && !typing() &&
        performance.now() - openedAt > 10000) {
      location.reload();
    }
  });
})();
