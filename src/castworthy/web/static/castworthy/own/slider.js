// Keeps a range and its number field together: moving one writes the other.
// <form data-slider> holds input[type=range][data-slider-range] and input[data-slider-number].
(function () {
  "use strict";

  function partner(input) {
    var form = input.closest("[data-slider]");
    if (!form) return null;
    return input.hasAttribute("data-slider-range")
      ? form.querySelector("[data-slider-number]")
      : form.querySelector("[data-slider-range]");
  }

  function follow(event) {
    var input = event.target;
    if (!input.matches("[data-slider-range], [data-slider-number]")) return;
    var other = partner(input);
    if (!other) return;
    if (other.type !== "range") {
      other.value = input.value;
      return;
    }
    var number = Number(input.value.replace(",", "."));
    if (!Number.isNaN(number)) other.value = String(number);
  }

  document.addEventListener("input", follow);
})();
