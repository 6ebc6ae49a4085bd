// Birds are found while typing: the same form is asked as the button "Find" asks it, and only
// the list it answers with is put in place. Without this script the button does the same.
(function () {
  'use strict';
  var form = document.getElementById('find');
  if (!form) {
    return;
  }
  var round = 0;
  var waiting = 0;
  var button = document.getElementById('look');
  button.hidden = true;

  function find() {
    var mine = (round += 1);
    var address = form.action + '?' + new URLSearchParams(new FormData(form));
    fetch(address)
      .then(function (answer) {
        return answer.text();
      })
      .then(function (text) {
        var found = new DOMParser().parseFromString(text, 'text/html').getElementById('found');
        if (mine === round && found) {
          document.getElementById('found').replaceWith(document.importNode(found, true));
        }
      })
      .catch(function () {
        button.hidden = false;
      });
  }

  form.addEventListener('input', function () {
    clearTimeout(waiting);
    waiting = setTimeout(find, 150);
  });
  form.addEventListener('submit', function (event) {
    event.preventDefault();
    find();
  });
})();
