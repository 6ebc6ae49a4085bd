// The code for the first keeper comes behind the # of the address, which no server is told.
// It goes into its field and leaves the address.
(function () {
  'use strict';
  var field = document.getElementById('code');
  var told = decodeURIComponent(location.hash.slice(1));
  if (field && /^[a-z0-9-]{10,40}$/i.test(told)) {
    field.value = told;
    history.replaceState(null, '', location.pathname);
  }
})();
