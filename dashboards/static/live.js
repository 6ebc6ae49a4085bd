// The event stream. It is closed and opened again by its own back-off, whatever its state:
// a browser gives an EventSource up for good after one wrong answer. Heartbeats are passed
// on as events of the document.
(function () {
  'use strict';
  var SILENT_MS = 8000;
  var source = null;
  var pause = 1000;
  var heardAt = performance.now();
  var timer = null;

  function heard(event) {
    var told;
    try {
      told = JSON.parse(event.data);
    } catch (error) {
      return;
    }
    heardAt = performance.now();
    pause = 1000;
    document.dispatchEvent(new CustomEvent('heartbeat', { detail: told }));
  }

  function open() {
    timer = null;
    if (source) {
      source.close();
    }
    heardAt = performance.now();
    source = new EventSource('/live');
    source.addEventListener('heartbeat', heard);
    source.onerror = again;
  }

  // An event stream does not tell why it ended. A page whose session, or whose tablet's token,
  // holds no more asks for itself anew and is sent to the sign-in, unless somebody is typing.
  function mayStill() {
    var active = document.activeElement;
    var typing = Boolean(active && active.closest && active.closest('form'));
    fetch('/wall/picture', { cache: 'no-store' }).then(function (answer) {
      if ((answer.status === 401 || answer.status === 403) && !typing) {
        location.reload();
      }
    }).catch(function () { /* not reached: the watchdog covers the page */ });
  }

  function again() {
    if (source) {
      source.close();
      source = null;
      mayStill();
    }
    if (timer === null) {
      timer = setTimeout(open, pause);
      pause = Math.min(pause * 2, 5000);
    }
  }

  function wake() {
    if (performance.now() - heardAt > SILENT_MS && timer === null) {
      again();
    }
  }

  open();
  setInterval(wake, 1000);
  document.addEventListener('visibilitychange', wake);
  window.addEventListener('pageshow', wake);
  window.addEventListener('online', wake);
})();
