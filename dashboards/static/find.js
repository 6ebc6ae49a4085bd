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
  var pages = false;
  var told = document.getElementById('not-found-yet');
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
        if (mine !== round) {
          return;
        }
        if (!found) {
          throw new Error('another page came: perhaps the sign-in ended');
        }
        document.getElementById('found').replaceWith(document.importNode(found, true));
        told.hidden = button.hidden = true;
        pages = false;
      })
      .catch(function () {
        // What stands below belongs to what was typed before: say so, and let the page be asked.
        if (mine === round) {
          told.hidden = button.hidden = false;
          pages = true;
        }
      });
  }

  form.addEventListener('input', function () {
    clearTimeout(waiting);
    waiting = setTimeout(find, 150);
  });
  form.addEventListener('submit', function (event) {
    if (!pages) {
      event.preventDefault();
      find();
    }
  });
})();
