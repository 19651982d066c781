// The places of a crack check: a tap on the deck fills the row in hand, a button adds another row.
(function () {
  "use strict";

  let row = null;

  function add(box) {
    const made = box.querySelector("template").content.querySelector("[data-crack-row]").cloneNode(true);
    box.querySelector("template").before(made);
    return made;
  }

  function inHand(box) {
    const rows = [...box.querySelectorAll("[data-crack-row]")];
    const empty = (each) => !each.querySelector("[name=found]").value;
    if (row && rows.includes(row) && empty(row)) return row;
    return rows.find(empty) || add(box);
  }

  // what a tap means: the nearest named place within its reach, else the spot itself
  function words(map, event) {
    const deck = map.querySelector("svg svg > *");
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(deck.getScreenCTM().inverse());
    const x = point.x, y = -point.y;
    let found = "", nearest = Infinity;
    for (const [name, spotX, spotY, reach] of JSON.parse(map.dataset.spots)) {
      const far = Math.hypot(spotX - x, spotY - y);
      if (far <= reach && far < nearest) [found, nearest] = [name, far];
    }
    const unit = Number(map.dataset.unitMm);
    const digits = unit > 1 ? 2 : 1;
    return found || (x / unit).toFixed(digits) + ", " + (y / unit).toFixed(digits);
  }

  document.addEventListener("focusin", (event) => {
    const touched = event.target.closest("[data-crack-row]");
    if (touched) row = touched;
  });

  document.addEventListener("click", (event) => {
    const box = event.target.closest("[data-crack-places]");
    if (!box) return;
    if (event.target.closest("[data-crack-more]")) {
      row = add(box);
      row.querySelector("[name=place]").focus();
      return;
    }
    const map = event.target.closest("[data-crack-map]");
    if (!map || !event.target.closest("svg")) return;
    event.preventDefault();
    const place = words(map, event); // before a new row moves the map
    const filled = inHand(box);
    filled.querySelector("[name=place]").value = place;
    const result = box.closest("form").querySelector("[name=result][value=crack]");
    if (result) result.checked = true;
    filled.querySelector("[name=found]").focus();
  });

  function ready() {
    for (const more of document.querySelectorAll("[data-crack-more]")) more.hidden = false;
  }
  document.addEventListener("htmx:afterSettle", ready);
  ready();
})();
