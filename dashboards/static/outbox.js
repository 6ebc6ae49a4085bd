// Looks that were pressed and that the server has not stored yet. They are kept in this browser
// and sent from whichever of our pages is open, until the server says that it has them. The
// number of the form makes one look of a look that arrives twice.
(function () {
  'use strict';
  var PREFIX = 'sent:';
  var AGAIN_MS = [1000, 2000, 4000];
  var PATIENCE_MS = 10000;
  var here = {}; // where there is no storage the open page still has them
  var timer = null;
  var busy = false;
  var tries = 0;

  // A connection that comes and goes is back soon, or not for long.
  function pause(times) {
    return AGAIN_MS[Math.min(times, AGAIN_MS.length - 1)];
  }

  function each(told) {
    var found = {};
    Object.keys(here).forEach(function (key) { found[key] = here[key]; });
    try {
      for (var n = 0; n < localStorage.length; n += 1) {
        var key = localStorage.key(n);
        if (key && key.indexOf(PREFIX) === 0) {
          found[key] = JSON.parse(localStorage.getItem(key));
        }
      }
    } catch (error) { /* only what this page knows */ }
    return Object.keys(found).map(function (key) { return found[key]; }).filter(function (one) {
      return one && one.fields && one.fields.form_id && told(one);
    }).sort(function (one, other) { return one.pressed - other.pressed; });
  }

  function keep(entry) {
    var key = PREFIX + entry.fields.form_id;
    try {
      localStorage.setItem(key, JSON.stringify(entry));
    } catch (error) {
      here[key] = entry;
    }
  }

  function drop(number) {
    delete here[PREFIX + number];
    try {
      localStorage.removeItem(PREFIX + number);
      for (var n = localStorage.length - 1; n >= 0; n -= 1) {
        var key = localStorage.key(n);
        if (key && key.indexOf('look:') === 0) {
          var draft = JSON.parse(localStorage.getItem(key));
          if (draft && draft.fields && draft.fields.form_id === number) {
            localStorage.removeItem(key);
          }
        }
      }
    } catch (error) { /* without storage there is no draft */ }
  }

  function within(address, options) {
    var stop = new AbortController();
    var patience = setTimeout(function () { stop.abort(); }, PATIENCE_MS);
    options.signal = stop.signal;
    return fetch(address, options).finally(function () { clearTimeout(patience); });
  }

  // The token belongs to the page that is open; a page that has none asks for one.
  function token(action, afresh) {
    var field = document.querySelector('input[name=csrf]');
    if (field && !afresh) {
      return Promise.resolve(field.value);
    }
    return within(action, {}).then(function (answer) { return answer.text(); }).then(
      function (text) {
        var found = new DOMParser().parseFromString(text, 'text/html')
          .querySelector('input[name=csrf]');
        return found ? found.value : '';
      });
  }

  function post(entry, csrf) {
    var body = new URLSearchParams(entry.fields);
    body.set('ago_s', String(Math.max(0, (Date.now() - entry.pressed) / 1000)));
    body.set('csrf', csrf);
    return within(entry.action, { method: 'POST', body: body });
  }

  function isStored(answer, entry) {
    return answer.redirected &&
      new URL(answer.url).searchParams.get('saved') === entry.fields.form_id;
  }

  // What became of it: saved (the server has stored it), asked, refused, or later.
  function send(entry) {
    return token(entry.action, false).then(function (csrf) {
      return post(entry, csrf);
    }).then(function (answer) {
      if (answer.status !== 403) {
        return answer;
      }
      return token(entry.action, true).then(function (csrf) { return post(entry, csrf); });
    }).then(function (answer) {
      return answer.text().then(function (text) {
        if (isStored(answer, entry)) {
          drop(entry.fields.form_id);
          return { became: 'saved', url: answer.url, text: text };
        }
        if (answer.status === 422) {
          return { became: 'asked', text: text };
        }
        return { became: answer.status < 500 && answer.status !== 429 ? 'refused' : 'later' };
      });
    }).catch(function () { return { became: 'later' }; });
  }

  function open() {
    var form = document.getElementById('check');
    return form ? form.dataset.box : '';
  }

  function waiting() {
    return each(function (one) { return one.box !== open(); });
  }

  function line(one) {
    var told = document.createElement('p');
    var at = new Date(one.pressed).toLocaleTimeString('en-GB',
      { hour: '2-digit', minute: '2-digit' });
    var why = { asked: 'the book asks something first', refused: 'the shed did not take it' };
    told.textContent = one.name + ', ' + at + ': not saved yet, kept here' +
      (one.became ? '; ' + why[one.became] : '') + '.';
    return told;
  }

  function further(one) {
    var two = document.createElement('div');
    two.className = 'two';
    var look = document.createElement('a');
    look.className = 'b filled';
    look.href = one.action;
    look.textContent = 'Open it';
    var away = document.createElement('button');
    away.type = 'button';
    away.className = 'b quiet';
    away.textContent = 'Throw it away';
    away.addEventListener('click', function () {
      if (window.confirm('Throw this look at ' + one.name + ' away? It is not saved anywhere.')) {
        drop(one.fields.form_id);
        show();
      }
    });
    two.append(look, away);
    return two;
  }

  function show(saved) {
    var strip = document.getElementById('unsent');
    if (!strip) {
      return;
    }
    var found = waiting();
    strip.textContent = '';
    strip.className = found.length || saved ? 'saved' : '';
    found.forEach(function (one) {
      strip.appendChild(line(one));
      if (one.became) {
        strip.appendChild(further(one));
      }
    });
    if (saved) {
      var told = document.createElement('p');
      told.textContent = saved;
      strip.appendChild(told);
    }
  }

  // The server's own words of what it stored.
  function storedWords(text) {
    var part = new DOMParser().parseFromString(text, 'text/html').querySelector('[data-saved] p');
    return part ? part.textContent : '';
  }

  function flush() {
    var found = waiting().filter(function (one) { return !one.became; });
    clearTimeout(timer);
    timer = null;
    if (busy || !found.length) {
      return;
    }
    busy = true;
    var saved = '';
    found.reduce(function (before, one) {
      return before.then(function () { return send(one); }).then(function (answer) {
        if (answer.became === 'saved') {
          saved += (saved ? ' ' : 'Saved. ') + storedWords(answer.text);
        } else if (answer.became !== 'later') {
          one.became = answer.became;
          keep(one);
        }
      });
    }, Promise.resolve()).then(function () {
      busy = false;
      show(saved);
      if (saved) {
        document.dispatchEvent(new CustomEvent('look-saved'));
      }
      if (waiting().some(function (one) { return !one.became; })) {
        timer = setTimeout(flush, pause(tries));
        tries += 1;
      }
    });
  }

  // What this very page says to be saved needs no keeping any more.
  document.querySelectorAll('[data-saved]').forEach(function (part) { drop(part.dataset.saved); });
  window.clutchweatherOutbox = {
    keep: keep,
    drop: drop,
    send: send,
    storedWords: storedWords,
    of: function (box) { return each(function (one) { return one.box === box; })[0] || null; },
    pause: pause
  };
  show();
  flush();
  window.addEventListener('online', flush);
})();
