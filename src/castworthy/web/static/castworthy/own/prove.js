// The prove page: a recorded port hands over to the next one.
(function () {
  "use strict";

  // after one port is recorded the next empty field is under the fingers
  document.addEventListener("htmx:afterSettle", () => {
    const done = document.querySelector("li.port[data-onward]");
    if (!done) return;
    done.removeAttribute("data-onward");
    let next = done.nextElementSibling;
    while (next && (!next.querySelector("input[name=held]") || next.querySelector("input[name=held]").value)) {
      next = next.nextElementSibling;
    }
    const field = next && next.querySelector("input[name=held]");
    if (!field) return;
    for (const port of document.querySelectorAll("li.port--next")) port.classList.remove("port--next");
    next.classList.add("port--next");
    field.focus();
  });

  document.addEventListener("focusin", (event) => {
    const port = event.target.closest("li.port");
    if (!port) return;
    for (const other of document.querySelectorAll("li.port--next")) other.classList.remove("port--next");
    port.classList.add("port--next");
  });
})();
