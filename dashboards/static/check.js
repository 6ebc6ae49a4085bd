// The nest check: one tap for what today should bring, counts that follow, what will be written
// as the server foresees it, and a draft that outlives a lost signal and a reload. "Saved" is
// said by the server's answer only.
(function () {
  'use strict';
  var outbox = window.clutchweatherOutbox;
  var DIFFERENT = ['note', 'bedding', 'thrown_out', 'put_back', 'taken_out'];
  var form, save, told, will, counted, key, last, entry, foresight;
  var waiting = null;
  var tries = 0;
  var foreseeing = null;
  var stored = false;

  function input(name) {
    return form.elements.namedItem(name);
  }

  function fields() {
    var found = {};
    new FormData(form).forEach(function (value, name) {
      found[name] = String(value);
    });
    delete found.csrf; // it belongs to the page that is open, not to the draft
    return found;
  }

  function keep() {
    try {
      localStorage.setItem(key, JSON.stringify({ on: Date.now(), fields: fields() }));
    } catch (error) { /* no storage: the open page still has it */ }
  }

  function say(words) {
    told.textContent = words;
    told.hidden = !words;
  }

  // --- counts: what is named, by taps and by the parts of "Something is different" -----------

  function byTaps() {
    var sum = [0, 0];
    form.querySelectorAll('[data-fate]:checked').forEach(function (tap) {
      sum[0] += Number(tap.dataset.eggs);
      sum[1] += Number(tap.dataset.chicks);
    });
    return sum;
  }

  function bySelects() {
    var sum = [0, 0];
    form.querySelectorAll('select').forEach(function (select) {
      var parts = select.name.split('.');
      var ofChick = parts[0] === 'chick' ? parts[2] === 'fate' : parts[2] === 'gone';
      if (!select.value || parts.length !== 3 || select.closest('.ask')) {
        return;
      }
      if (ofChick) {
        sum[1] -= 1;
      } else if (parts[2] === 'fate') {
        sum[0] -= 1;
        sum[1] += select.value === 'hatched' ? 1 : 0;
      }
    });
    return sum;
  }

  function named() {
    var taps = byTaps();
    var selects = bySelects();
    return [taps[0] + selects[0], taps[1] + selects[1]];
  }

  function number(name) {
    return Number(input(name).value) || 0;
  }

  function put(name, value) {
    input(name).value = String(Math.min(30, Math.max(0, value)));
    counted.value = 'yes';
  }

  function follow() {
    var now = named();
    if (now[0] !== last[0]) {
      put('eggs', number('eggs') + now[0] - last[0]);
    }
    if (now[1] !== last[1]) {
      put('chicks', number('chicks') + now[1] - last[1]);
    }
    last = now;
  }

  function eggTaps() {
    return Array.prototype.slice.call(form.querySelectorAll('[data-egg]'));
  }

  function newEggs() {
    return number('eggs') - number('eggs_before') - last[0];
  }

  function eggTapped(tap) {
    var ticked = eggTaps().filter(function (one) { return one.checked; }).length;
    if (tap.checked && newEggs() < ticked) {
      put('eggs', number('eggs') + 1);
    } else if (!tap.checked && newEggs() > ticked) {
      put('eggs', number('eggs') - 1);
    }
  }

  function eggsCounted() {
    var found = newEggs();
    eggTaps().forEach(function (one, place) { one.checked = place < found; });
  }

  // One egg or chick has one story: a tap takes the place of what was chosen, and back.
  function oneStory(target) {
    if (target.dataset.fate && target.checked) {
      var select = input(target.dataset.fate);
      if (select && select.tagName === 'SELECT') {
        select.value = '';
      }
    } else if (target.tagName === 'SELECT' && target.value) {
      form.querySelectorAll('[data-fate]').forEach(function (tap) {
        if (tap.dataset.fate === target.name) {
          tap.checked = false;
        }
      });
    }
  }

  function ringTyped(target) {
    var tap = input('tap.' + target.name);
    if (tap && target.name.indexOf('ring.') === 0) {
      tap.checked = target.value !== '';
    }
  }

  function ringTapped(target) {
    var ring = target.name.indexOf('tap.ring.') === 0 ? input(target.name.slice(4)) : null;
    if (ring && target.checked && !ring.value) {
      ring.focus();
    }
  }

  function changed(event) {
    var target = event.target;
    oneStory(target);
    ringTapped(target);
    if (target.dataset.egg) {
      eggTapped(target);
    }
    follow();
    if (target.id === 'eggs') {
      counted.value = 'yes';
      eggsCounted();
    }
    if (target.id === 'chicks') {
      counted.value = 'yes';
    }
    keep();
    foresee();
  }

  function clicked(event) {
    var button = event.target.closest('.by');
    if (!button) {
      return;
    }
    put(button.dataset.for, number(button.dataset.for) + Number(button.dataset.by));
    eggsCounted();
    keep();
    foresee();
  }

  // --- what will be written ----------------------------------------------------------------

  function showForeseen(seen) {
    if (entry || !will.isConnected) {
      return;
    }
    var asks = seen.asks.length > 0;
    var news = seen.news.length ? seen.news.join('; ') : 'nothing new';
    will.textContent = asks ? 'Asks first: ' + seen.asks[0] : 'Will write: ' + news + '. ' +
      seen.there + '.';
    will.classList.toggle('asks', asks);
    will.hidden = false;
  }

  function foresee() {
    clearTimeout(foreseeing);
    foreseeing = setTimeout(function () {
      if (foresight) {
        foresight.abort();
      }
      foresight = new AbortController();
      fetch(form.action + '/preview', {
        method: 'POST',
        body: new URLSearchParams(new FormData(form)),
        signal: foresight.signal
      }).then(function (answer) {
        return answer.ok ? answer.json().then(showForeseen) : null;
      }).catch(function (error) {
        if (error.name !== 'AbortError' && !entry) {
          will.textContent = 'The shed is not heard just now. What you tell is kept here.';
          will.hidden = false;
        }
      });
    }, 120);
  }

  // --- the draft ---------------------------------------------------------------------------

  function take(found) {
    Object.keys(found).forEach(function (name) {
      var element = input(name);
      if (name === 'csrf') {
        return;
      }
      if (!element) { // the nest was changed meanwhile: it is told all the same
        element = document.createElement('input');
        element.type = 'hidden';
        element.name = name;
        form.appendChild(element);
      }
      if (element.type === 'checkbox') {
        element.checked = true;
      } else {
        element.value = found[name];
      }
    });
    var part = form.querySelector('.different');
    part.open = part.open || Array.prototype.some.call(
      part.querySelectorAll('select,input[type=text],input:not([type])'),
      function (one) { return one.value !== ''; }) || DIFFERENT.some(function (name) {
      return Boolean(found[name]);
    });
    var light = form.querySelector('.not-all');
    if (light) {
      light.open = light.open || light.querySelector(':checked') !== null;
    }
  }

  function restore() {
    var draft = null;
    try {
      draft = JSON.parse(localStorage.getItem(key));
    } catch (error) {
      return;
    }
    if (!draft || !draft.fields || form.dataset.cameBack === 'yes') {
      return;
    }
    take(draft.fields);
    var when = new Date(draft.on);
    say('This is what you had begun on ' + when.toLocaleString('en-GB', {
      weekday: 'long', hour: '2-digit', minute: '2-digit' }) + '. It is not saved yet. ');
    var afresh = document.createElement('button');
    afresh.type = 'button';
    afresh.className = 'b quiet';
    afresh.textContent = 'Begin afresh';
    afresh.addEventListener('click', function () {
      try {
        localStorage.removeItem(key);
      } catch (error) { /* nothing to remove */ }
      location.reload();
    });
    told.appendChild(afresh);
  }

  // --- sending -----------------------------------------------------------------------------

  function hold(words) {
    will.textContent = words;
    will.hidden = false;
    will.classList.remove('asks');
  }

  function freeze(yes) {
    form.querySelectorAll('.rest').forEach(function (part) { part.inert = yes; });
    save.disabled = yes;
  }

  function asked(text) {
    var fresh = new DOMParser().parseFromString(text, 'text/html').querySelector('main');
    if (!fresh) {
      form.submit();
      return;
    }
    document.querySelector('main').replaceWith(document.importNode(fresh, true));
    begin();
    keep();
    foresee();
    window.scrollTo(0, 0);
  }

  function saved(answer) {
    stored = true;
    hold('Saved. ' + outbox.storedWords(answer.text));
    save.textContent = 'Saved';
    var back = entry.fields.back === 'today' ? '#' + form.dataset.cage : '';
    location.assign(answer.url + back);
  }

  function send() {
    var pressed = entry;
    clearTimeout(waiting);
    waiting = null;
    save.textContent = 'Sending';
    outbox.send(entry).then(function (answer) {
      if (pressed !== entry) {
        return;
      }
      if (answer.became === 'saved') {
        saved(answer);
      } else if (answer.became === 'asked') {
        outbox.drop(entry.fields.form_id);
        entry = null;
        asked(answer.text);
      } else if (answer.became === 'refused') {
        freeze(false);
        form.submit(); // the page that says why holds what was written
      } else {
        save.textContent = 'Not saved yet';
        hold('Not saved yet, kept here: the shed is not heard. It is sent by itself as soon as ' +
          'the shed is heard.');
        waiting = setTimeout(send, outbox.pause(tries));
        tries += 1;
      }
    });
  }

  function press(pressed) {
    entry = pressed;
    freeze(true);
    hold('Not saved yet, kept here.');
    send();
  }

  function submitted(event) {
    event.preventDefault();
    if (entry) {
      return;
    }
    clearTimeout(foreseeing);
    var pressed = {
      pressed: Date.now(),
      box: form.dataset.box,
      name: form.dataset.name,
      action: form.getAttribute('action'),
      fields: fields()
    };
    outbox.keep(pressed);
    press(pressed);
  }

  function begin() {
    form = document.getElementById('check');
    save = document.getElementById('save');
    told = document.getElementById('draft');
    will = document.getElementById('will');
    counted = document.getElementById('counted');
    key = 'look:' + form.dataset.box;
    entry = null;
    form.addEventListener('change', changed);
    form.addEventListener('input', function (event) {
      ringTyped(event.target);
      keep();
    });
    form.addEventListener('click', clicked);
    form.addEventListener('submit', submitted);
    last = named();
  }

  begin();
  var unsent = outbox.of(form.dataset.box);
  if (unsent) {
    take(unsent.fields);
    last = named();
    press(unsent);
  } else {
    restore();
    last = named();
    foresee();
  }
  window.addEventListener('online', function () {
    if (waiting !== null) {
      send();
    }
  });
  // A page that the browser kept as it was left has a number that is used up.
  window.addEventListener('pageshow', function (event) {
    if (event.persisted && stored) {
      location.reload();
    }
  });
})();
