// On a narrow screen the steps of a head scroll sideways: bring the step shown into sight.
(function () {
  "use strict";

  function show() {
    const bar = document.querySelector(".tabs");
    const here = bar && bar.querySelector("[aria-current]");
    if (!here || bar.scrollWidth <= bar.clientWidth) return;
    bar.scrollLeft = here.offsetLeft - bar.offsetLeft - (bar.clientWidth - here.offsetWidth) / 2;
  }

  document.addEventListener("DOMContentLoaded", show);
  document.addEventListener("htmx:afterSettle", show);
})();
