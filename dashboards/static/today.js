// Today's list: a tap goes out without a new page, and is kept in this browser until the server
// has it. What is only kept says so; "done" is said by the server's own page alone. The number of
// the form makes one act of a tap that is sent twice. Without this script the forms work as forms.
(function () {
  'use strict';
  var KEY = 'today:taps';
  var AGAIN_MS = 4000;
  var PATIENCE_MS = 10000;
  var AWAY_MS = 30000;
  var SETTLE_MS = 500; // a second tap on what stood there before is no tap on what stands there now
  var fallback = [];
  var timer = null;
  var busy = false;
  var hiddenAt = null;
  var shownAt = -Infinity;

  function taps() {
    try {
      return JSON.parse(localStorage.getItem(KEY)) || [];
    } catch (error) {
      return fallback;
    }
  }

  function put(all) {
    fallback = all;
    try {
      localStorage.setItem(KEY, JSON.stringify(all));
    } catch (error) { /* the open page still has them */ }
  }

  function without(id) {
    put(taps().filter(function (one) { return one.id !== id; }));
  }

  function list() {
    return document.getElementById('today');
  }

  function token() {
    var field = document.querySelector('input[name="csrf"]');
    return field ? field.value : null;
  }

  function clock(on) {
    return new Date(on).toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' });
  }

  function number() {
    var bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = bytes[6] & 15 | 64;
    bytes[8] = bytes[8] & 63 | 128;
    var hex = Array.from(bytes, function (b) { return b.toString(16).padStart(2, '0'); }).join('');
    return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20),
      hex.slice(20)].join('-');
  }

  // The page that came is put in the old one's place. The stop where the keeper stands comes to
  // where the last one stood, so that the thumb finds the next button where it found this one.
  function show(text, tap) {
    var fresh = new DOMParser().parseFromString(text, 'text/html');
    var now = fresh.getElementById('today');
    if (!now) {
      return false;
    }
    var was = standing(tap);
    var top = was ? was.getBoundingClientRect().top : null;
    list().replaceWith(document.importNode(now, true));
    shownAt = performance.now();
    mark();
    var next = list().querySelector('.cage.now') || (tap && document.getElementById(tap.stop));
    if (next && top !== null) {
      // The line of the stop before, with its undo, stays in sight above.
      window.scrollBy(0, next.getBoundingClientRect().top - (next.id === tap.stop ? top : 160));
    }
    if (list().querySelector('[role="status"].saved, .wrong')) {
      list().querySelector('[role="status"].saved, .wrong').scrollIntoView({ block: 'nearest' });
    }
    return true;
  }

  function standing(tap) {
    return tap && tap.stop ? document.getElementById(tap.stop) : null;
  }

  // What is kept here and not stored yet: said at its stop, with its own undo, and counted below.
  function mark() {
    document.querySelectorAll('.kept-here').forEach(function (one) { one.remove(); });
    document.querySelectorAll('.waits').forEach(function (one) { one.classList.remove('waits'); });
    var all = taps();
    all.forEach(function (tap) {
      var stop = document.getElementById(tap.stop);
      if (stop && tap.act === 'all' && failed && !tap.refused) {
        stop.classList.add('waits'); // it shrinks to what is kept, with its undo, like one that is done
      }
      var told = document.createElement('p');
      told.className = 'kept-here line';
      var said = document.createElement('span');
      said.className = 'said';
      said.textContent = (tap.refused ? 'Not stored: ' + tap.refused + ' (' : 'Kept on this phone ' +
        clock(tap.on) + ', not stored yet: ') + tap.words + (tap.refused ? ')' : '');
      told.appendChild(said);
      var undo = document.createElement('button');
      undo.type = 'button';
      undo.className = 'undo';
      undo.textContent = tap.refused ? 'leave it' : 'undo';
      undo.disabled = tap.id === sending;
      undo.addEventListener('click', function () {
        without(tap.id);
        document.querySelectorAll('[data-tapped]').forEach(function (button) {
          delete button.dataset.tapped;
          button.classList.remove('on');
        });
        mark();
      });
      told.appendChild(undo);
      (stop || list()).insertBefore(told, (stop || list()).firstChild);
    });
    var open = all.filter(function (tap) { return !tap.refused; }).length;
    var kept = document.getElementById('kept');
    if (kept) {
      kept.textContent = open && failed ? open + (open === 1 ? ' tap is' : ' taps are') +
        ' kept on this phone; the shed is not heard. Sent by itself when it is.' : '';
    }
  }

  var sending = null;
  var failed = false;

  // Without the shed the walk goes on: the next stop that nothing was told of opens by hand.
  function walkOn(tap) {
    var stop = document.getElementById(tap.stop);
    if (!stop || tap.act !== 'all') {
      return;
    }
    var told = {};
    taps().forEach(function (one) { told[one.stop] = true; });
    var next = stop.nextElementSibling;
    while (next && (told[next.dataset.stop] || !next.querySelector('details') ||
        !next.classList.contains('later'))) {
      next = next.nextElementSibling;
    }
    if (next) {
      next.querySelector('details').open = true;
      window.scrollBy(0, next.getBoundingClientRect().top - 160);
    }
  }

  function lost(tap) {
    failed = true;
    sending = null;
    busy = false;
    mark();
    if (tap && !tap.walked) {
      tap.walked = true;
      walkOn(tap);
    }
    if (timer === null) {
      timer = setTimeout(function () { timer = null; send(); }, AGAIN_MS);
    }
  }

  function sentence(text) {
    var page = new DOMParser().parseFromString(text, 'text/html');
    var told = page.querySelector('main h1 ~ p');
    return told ? told.textContent.trim() : 'the shed did not take it';
  }

  function within(address, options) {
    var stop = new AbortController();
    var patience = setTimeout(function () { stop.abort(); }, PATIENCE_MS);
    options.signal = stop.signal;
    options.cache = 'no-store';
    return fetch(address, options).finally(function () { clearTimeout(patience); });
  }

  function refuse(tap, words) {
    put(taps().map(function (one) {
      if (one.id === tap.id) {
        one.refused = words;
      }
      return one;
    }));
  }

  // A token of an older sign-in is not ours any more: a fresh page has the one that holds.
  function anew(tap) {
    return within('/today', {}).then(function (answer) {
      if (!answer.ok || new URL(answer.url).pathname !== '/today') {
        refuse(tap, 'sign in again, then tap it once more');
        return null;
      }
      return answer.text().then(function (text) {
        show(text, null);
        return post(tap);
      });
    });
  }

  function post(tap) {
    var body = new URLSearchParams(tap.fields);
    body.append('csrf', token() || '');
    return within('/today', { method: 'POST', body: body });
  }

  function send() {
    var tap = taps().filter(function (one) { return !one.refused; })[0];
    if (busy || !tap) {
      return;
    }
    busy = true;
    sending = tap.id;
    post(tap).then(function (answer) {
      return answer.status === 403 || answer.status === 401 ? anew(tap) : answer;
    }).then(function (answer) {
      if (answer && answer.status >= 500) {
        throw new Error('not now');
      }
      if (answer && new URL(answer.url).pathname !== '/today') {
        refuse(tap, 'sign in again, then tap it once more');
        return null;
      }
      return answer ? answer.text().then(function (text) {
        if (answer.ok) {
          without(tap.id);
        } else {
          refuse(tap, sentence(text));
        }
        return answer.ok ? text : null;
      }) : null;
    }).then(function (text) {
      busy = false;
      sending = null;
      failed = false;
      if (text && list().querySelector('form')) {
        show(text, tap);
      } else {
        mark();
      }
      send();
    }).catch(function () { lost(tap); });
  }

  document.addEventListener('submit', function (event) {
    var form = event.target;
    if (!form.closest('#today') || new URL(form.action).pathname !== '/today' || !event.submitter) {
      return;
    }
    event.preventDefault();
    var button = event.submitter;
    var act = button.value.split('|')[0];
    if (button.dataset.tapped || (act !== 'undo' && performance.now() - shownAt < SETTLE_MS)) {
      return;
    }
    button.dataset.tapped = 'yes';
    var fields = [];
    new FormData(form).forEach(function (value, name) {
      if (name !== 'csrf') { // it belongs to the page that is open, not to the tap
        fields.push([name, String(value)]);
      }
    });
    fields.push(['do', button.value]);
    var small = button.querySelector('small');
    var tap = {
      id: number(),
      on: Date.now(),
      act: act,
      stop: form.elements.stop ? form.elements.stop.value : '',
      words: small ? button.textContent.replace(small.textContent, '') + ': ' + small.textContent
        : button.textContent,
      fields: fields
    };
    put(taps().concat([tap]));
    button.classList.add('on');
    if (busy) {
      mark();
    }
    send();
  });

  window.addEventListener('online', function () {
    clearTimeout(timer);
    timer = null;
    send();
  });

  // Somebody else may have been at work while the phone was in the pocket.
  document.addEventListener('visibilitychange', function () {
    if (document.hidden) {
      hiddenAt = Date.now();
      return;
    }
    if (hiddenAt !== null && Date.now() - hiddenAt > AWAY_MS && !taps().length) {
      within(location.pathname, {}).then(function (answer) {
        return answer.ok ? answer.text() : null;
      }).then(function (text) {
        if (text && !busy) {
          show(text, null);
        }
      }).catch(function () { /* the watchdog covers the page */ });
    }
    send();
  });
  document.addEventListener('look-saved', function () { location.reload(); });

  mark();
  send();
})();
