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

  // what a tap means: the nearest named place within its reach, else the spot itself; nothing
  // beside the deck
  function words(map, event) {
    const deck = map.querySelector("svg svg > *");
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(deck.getScreenCTM().inverse());
    const edge = deck.querySelector(".cw-outline");
    const onEdge = new DOMPoint(event.clientX, event.clientY).matrixTransform(edge.getScreenCTM().inverse());
    if (!edge.isPointInFill(onEdge)) return "";
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

  function newName() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
  }

  // a photo is kept the moment it is taken, whatever becomes of the form; its caption is the place
  async function send(input) {
    const part = input.closest("[data-crack-photo]");
    const said = part.querySelector("[data-crack-said]");
    const file = input.files[0];
    if (!file) return;
    const own = input.closest("[data-crack-row]");
    const told = new FormData();
    told.append("camera", file);
    told.append("uuid", newName());
    told.append("caption", [own.querySelector("[name=place]").value, own.querySelector("[name=found]").value].filter(Boolean).join(": "));
    told.append("csrfmiddlewaretoken", input.closest("form").querySelector("[name=csrfmiddlewaretoken]").value);
    said.textContent = "";
    part.dataset.sending = "yes";
    try {
      const answer = await fetch(input.closest("[data-photo-to]").dataset.photoTo, { method: "POST", body: told });
      if (answer.ok) {
        const made = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("[data-crack-photo]");
        part.replaceWith(made);
        return;
      }
      const made = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("[data-crack-said]");
      said.textContent = made ? made.textContent : "The photo was not taken; choose it again.";
    } catch (_) {
      said.textContent = "The link to the shop's computer is down and the photo was not sent; choose it again when it is back.";
    }
    delete part.dataset.sending;
    input.value = "";
  }

  document.addEventListener("change", (event) => {
    if (event.target.matches("[data-crack-file]")) send(event.target);
    if (!event.target.matches("[data-crack-kept]")) return;
    const part = event.target.closest("[data-crack-photo]");
    const small = event.target.selectedOptions[0].dataset.small;
    let seen = part.querySelector(".crack-photo__seen");
    if (!small) {
      if (seen) seen.remove();
      return;
    }
    if (!seen) {
      seen = document.createElement("span");
      seen.className = "crack-photo__seen";
      seen.append(document.createElement("img"));
      part.prepend(seen);
    }
    seen.querySelector("img").src = small;
    seen.querySelector("img").alt = event.target.selectedOptions[0].textContent;
  });

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
    if (!place) return;
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
