// What would be read of a message follows every choice: the same form is sent as the button
// "Show what would be read" sends it, and only what it answers to is put in place.
(function () {
  'use strict';
  var form = document.getElementById('describe');
  if (!form) {
    return;
  }
  var round = 0;
  document.getElementById('look').hidden = true;

  function show(text) {
    var fresh = new DOMParser().parseFromString(text, 'text/html');
    var would = fresh.getElementById('would');
    if (would) {
      document.getElementById('would').replaceWith(document.importNode(would, true));
    }
    name(fresh);
  }

  // The name and where it stands follow the sender, until somebody has typed a name.
  function name(fresh) {
    var named = form.elements.named;
    var other = fresh.querySelector('[name=named]');
    if (named && other && other.value !== named.value) {
      if (form.elements.name.value === named.value) {
        form.elements.name.value = other.value;
      }
      named.value = other.value;
    }
  }

  form.addEventListener('change', function (event) {
    if (['place', 'name', 'interval', 'new_kind', 'new_within'].indexOf(event.target.name) >= 0) {
      return;
    }
    var mine = (round += 1);
    var told = new FormData(form);
    told.set('act', 'look');
    fetch(form.action, { method: 'POST', body: new URLSearchParams(told) })
      .then(function (answer) {
        return answer.text();
      })
      .then(function (text) {
        if (mine === round) {
          show(text);
        }
      })
      .catch(function () {
        document.getElementById('look').hidden = false;
      });
  });
})();
