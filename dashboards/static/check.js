// The nest check: steppers, a draft that outlives a lost signal, and sending once. "Saved" is
// said by the server's own page only. The number of the form makes a check that is sent
// twice one check.
(function () {
  'use strict';
  var form = document.getElementById('check');
  var save = document.getElementById('save');
  var told = document.getElementById('draft');
  var counted = document.getElementById('counted');
  var key = 'look:' + form.dataset.box;
  var waiting = null;
  var sending = false;
  var DIFFERENT = ['note', 'hide_in', 'bedding', 'thrown_out', 'put_back', 'taken_out'];

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
    told.hidden = false;
  }

  // Counts follow the names: an egg that hatched, was lost or is not in sight is not counted.
  var fates = {};
  function follow(select) {
    var parts = select.name.split('.');
    var ofChick = parts[0] === 'chick' ? parts[2] === 'fate' : parts[2] === 'gone';
    if (parts.length !== 3 || (parts[2] !== 'fate' && !ofChick)) {
      return;
    }
    var before = fates[select.name] || '';
    fates[select.name] = select.value;
    var eggs = input('eggs');
    var chicks = input('chicks');
    function add(element, by) {
      element.value = String(Math.max(0, (Number(element.value) || 0) + by));
    }
    if (ofChick) {
      add(chicks, (before ? 1 : 0) - (select.value ? 1 : 0));
    } else {
      add(eggs, (before ? 1 : 0) - (select.value ? 1 : 0));
      add(chicks, (select.value === 'hatched' ? 1 : 0) - (before === 'hatched' ? 1 : 0));
    }
    counted.value = 'yes';
  }

  form.addEventListener('change', function (event) {
    if (event.target.tagName === 'SELECT' && !event.target.closest('.ask')) {
      follow(event.target);
    }
    keep();
  });
  form.addEventListener('input', keep);
  form.addEventListener('click', function (event) {
    var button = event.target.closest('.by');
    if (!button) {
      return;
    }
    var element = input(button.dataset.for);
    var value = (Number(element.value) || 0) + Number(button.dataset.by);
    element.value = String(Math.min(30, Math.max(0, value)));
    counted.value = 'yes';
    keep();
  });

  function take(draft) {
    Object.keys(draft.fields).forEach(function (name) {
      var element = input(name);
      var value = draft.fields[name];
      if (!element || name === 'csrf') {
        return;
      }
      if (element.type === 'checkbox') {
        element.checked = true;
      } else {
        element.value = value;
      }
      if (element.tagName === 'SELECT') {
        fates[name] = value;
      }
    });
    var part = form.querySelector('details');
    part.open = part.open || Object.keys(draft.fields).some(function (name) {
      return draft.fields[name] && (name.indexOf('.') > 0 || DIFFERENT.indexOf(name) >= 0);
    });
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
    take(draft);
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

  function later() {
    sending = false;
    save.disabled = false;
    save.textContent = 'Save this look';
    say('Not saved yet: the shed is not heard. It is kept on this phone and sent by itself as ' +
      'soon as the shed is heard; leave this page open.');
    if (waiting === null) {
      waiting = setTimeout(function () {
        waiting = null;
        send();
      }, 4000);
    }
  }

  function send() {
    if (sending) {
      return;
    }
    sending = true;
    save.disabled = true;
    save.textContent = 'Sending';
    var stop = new AbortController();
    var patience = setTimeout(function () { stop.abort(); }, 10000);
    fetch(form.action, {
      method: 'POST',
      body: new URLSearchParams(new FormData(form)),
      signal: stop.signal
    }).then(function (answer) {
      clearTimeout(patience);
      if (answer.redirected) {
        location.assign(answer.url);
      } else if (answer.status >= 500) {
        later();
      } else {
        form.submit();
      }
    }).catch(function () {
      clearTimeout(patience);
      later();
    });
  }

  form.addEventListener('submit', function (event) {
    event.preventDefault();
    keep();
    send();
  });
  window.addEventListener('online', function () {
    if (waiting !== null) {
      clearTimeout(waiting);
      waiting = null;
      send();
    }
  });
  restore();
})();
