// Draws the air of a nest or of the shed, once, into a fixed element: where that lies folded away,
// when it is unfolded. Text from the server stays text: the figure is escaped there.
(function () {
  'use strict';
  var place = document.getElementById('chart');
  if (!place || !window.Plotly) {
    return;
  }
  var folded = place.closest('details:not([open])');
  if (folded) {
    folded.addEventListener('toggle', draw, { once: true });
  } else {
    draw();
  }
  function draw() {
    fetch(place.dataset.source, { cache: 'no-store' })
      .then(function (answer) {
        if (!answer.ok) {
          throw new Error(String(answer.status));
        }
        return answer.json();
      })
      .then(function (figure) {
        place.textContent = '';
        return window.Plotly.newPlot(place, figure.data, figure.layout, {
          responsive: true,
          displaylogo: false,
          displayModeBar: false,
          locale: 'en'
        });
      })
      .catch(function () {
        place.textContent = 'The air could not be fetched just now.';
      });
  }
})();
