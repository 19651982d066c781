// The bench page.  Hands stay on the gauge: digits and Enter go into the ringed place, the ring
// moves on at once, and the server's answer swaps what it changed whenever it comes.
(function () {
  "use strict";

  const queue = window.castworthy.queue;
  const find = (selector, from) => (from || document).querySelector(selector);
  const findAll = (selector, from) => Array.from((from || document).querySelectorAll(selector));
  const bench = () => find("#bench");
  const field = () => find("#typed");
  const rows = () => findAll("#readings tr[data-place]");
  const here = () => ({ tag: bench().dataset.tag, quantity: bench().dataset.quantity });
  let ringed = null; // the place the field belongs to
  let mode = "add"; // "add": a first or a repeat reading; "correct": in place of another
  let said = 0;

  function rowOf(place) {
    return rows().find((row) => row.dataset.place === place) || null;
  }

  // ---- the ring ----
  function ring(place, options) {
    const row = rowOf(place);
    if (!row) return;
    const moved = ringed !== place;
    ringed = place;
    showRing();
    if (moved || (options && options.fresh)) {
      setMode("add");
      find("#entry [name=place]").value = place;
      find("#place-name").textContent = row.dataset.label;
      find("#place-limit").textContent = row.dataset.limit;
      const repeats = Number(row.dataset.readings || 0);
      find("#place-state").textContent = repeats
        ? (repeats === 1 ? "Measured once; another reading is averaged with it." : `Measured ${repeats} times; another reading is averaged with them.`)
        : "";
      history(row);
      try {
        window.history.replaceState(null, "", row.dataset.href);
      } catch (_) { /* an address that cannot change is no loss */ }
    }
    keepInView(row, options);
  }

  function showRing() {
    for (const row of rows()) {
      const on = row.dataset.place === ringed;
      row.classList.toggle("is-next", on);
      if (on) row.setAttribute("aria-current", "true");
      else row.removeAttribute("aria-current");
    }
    for (const mark of findAll("#deck-map [data-place]")) {
      mark.classList.toggle("cw-here", mark.dataset.place === ringed && mark.dataset.quantity === here().quantity);
    }
    const next = nextPlace(ringed);
    const hint = find("#entry-next");
    if (hint) {
      const row = next ? rowOf(next) : null;
      hint.textContent = row ? `Enter moves to ${row.dataset.short}.` : "";
    }
  }

  function keepInView(row, options) {
    const list = find("#readings-list");
    if (list && list.scrollHeight > list.clientHeight) {
      const top = row.offsetTop - list.clientHeight / 2 + row.offsetHeight / 2;
      list.scrollTo({ top: Math.max(0, top), behavior: options && options.quick ? "auto" : "smooth" });
    }
    const map = find("#deck-map");
    const mark = map && findAll("[data-place]", map).find((one) => one.dataset.place === row.dataset.place);
    if (mark && map.scrollWidth > map.clientWidth) {
      const box = mark.getBoundingClientRect();
      const frame = map.getBoundingClientRect();
      map.scrollBy({ left: box.left + box.width / 2 - frame.left - frame.width / 2, behavior: options && options.quick ? "auto" : "smooth" });
    }
  }

  function waits(place) {
    return queue.ofHead(here().tag).some((one) => one.values.quantity === here().quantity && one.values.place === place);
  }

  function open(row) {
    return row.dataset.needed === "yes" && !waits(row.dataset.place);
  }

  function nextPlace(from) {
    const list = rows();
    const at = list.findIndex((row) => row.dataset.place === from);
    const walk = list.slice(at + 1).concat(list.slice(0, Math.max(at, 0)));
    const found = walk.find(open);
    return found ? found.dataset.place : null;
  }

  function after(place) {
    const list = rows();
    const at = list.findIndex((row) => row.dataset.place === place);
    return list[at + 1] ? list[at + 1].dataset.place : null;
  }

  // ---- what was read before at this place ----
  function history(row) {
    const place = find("#history");
    if (!place) return;
    if (!Number(row.dataset.history || 0)) {
      place.replaceChildren();
      return;
    }
    window.htmx.ajax("GET", row.dataset.historyHref, { target: "#history", swap: "innerHTML" });
  }

  function setMode(next, reading) {
    mode = next;
    const card = find("#correcting");
    if (!card) return;
    card.hidden = next !== "correct";
    find("#entry [name=replaces]").value = reading ? reading.id : "";
    find("#entry [name=why]").required = next === "correct";
    if (next === "correct") {
      find("#correcting-what").textContent = reading.words;
      find("#entry [name=why]").value = "";
    }
  }

  // ---- remembered choices ----
  function remembered(name, value) {
    const key = `castworthy.${name}.${here().quantity}`;
    try {
      if (value === undefined) return localStorage.getItem(key);
      localStorage.setItem(key, value);
    } catch (_) { /* nothing is remembered then */ }
    return null;
  }

  function recall() {
    const side = remembered("side");
    const button = side && find(`#entry [name=side][value="${CSS.escape(side)}"]`);
    if (button) button.checked = true;
    const gauge = remembered("gauge");
    const select = find("#entry [name=gauge]");
    if (select && gauge !== null && Array.from(select.options).some((one) => one.value === gauge)) select.value = gauge;
    gaugeLine();
  }

  function gaugeLine() {
    const select = find("#entry [name=gauge]");
    const line = find("#gauge-line");
    if (!select || !line) return;
    const option = select.selectedOptions[0];
    line.textContent = option ? option.dataset.line || "" : "";
    line.classList.toggle("is-overdue", Boolean(option && option.dataset.overdue));
  }

  // ---- entry ----
  function submit() {
    const form = find("#entry");
    const input = field();
    const typed = input.value.trim();
    clearError();
    if (!typed) {
      const place = nextPlace(ringed) || after(ringed);
      if (place) ring(place);
      return;
    }
    if (mode === "correct" && !form.elements.why.value.trim()) {
      showError("Say in a word why the earlier reading was wrong; both stay in the history.");
      form.elements.why.focus();
      return;
    }
    const row = rowOf(ringed);
    const values = { quantity: here().quantity, place: ringed, typed };
    const side = find("[name=side]:checked", form);
    if (side) values.side = side.value;
    if (form.elements.unit) values.unit = form.elements.unit.value;
    if (form.elements.gauge) values.gauge = form.elements.gauge.value;
    if (mode === "correct") {
      values.replaces = form.elements.replaces.value;
      values.why = form.elements.why.value.trim();
    }
    for (const old of queue.ofHead(here().tag)) {
      if (old.state !== "waiting" && old.values.quantity === values.quantity && old.values.place === values.place) queue.remove(old.uuid);
    }
    input.value = "";
    const from = ringed;
    queue.add({ tag: here().tag, url: form.action, label: row.dataset.label, values });
    const next = nextPlace(from);
    if (next && mode === "add") ring(next);
    else ring(from, { fresh: true });
    input.focus({ preventScroll: true });
  }

  function showError(sentence) {
    const place = find("#entry-error");
    place.textContent = sentence;
    place.hidden = !sentence;
    field().setAttribute("aria-invalid", sentence ? "true" : "false");
  }

  function clearError() {
    showError("");
  }

  function pending() {
    for (const cell of findAll("#readings .pending")) cell.remove();
    for (const row of rows()) row.classList.remove("is-waiting", "is-asked");
    for (const entry of queue.ofHead(here().tag)) {
      if (entry.values.quantity !== here().quantity) continue;
      const row = rowOf(entry.values.place);
      if (!row) continue;
      row.classList.add(entry.state === "waiting" ? "is-waiting" : "is-asked");
      const words = document.createElement("span");
      words.className = "pending";
      words.textContent = entry.values.typed;
      words.title = entry.state === "waiting" ? "not sent yet" : "not stored yet";
      find(".reading__value", row).append(words);
    }
    linkLine();
    questions();
    showRing();
  }

  function linkLine() {
    const line = find("#link-line");
    if (!line) return;
    const waiting = queue.entries().filter((one) => one.state === "waiting").length;
    const words = waiting === 1 ? "1 reading is" : `${waiting} readings are`;
    if (waiting && queue.link() === "signed out") {
      line.textContent = `You are signed out. ${words} kept here and sent once you sign in again.`;
    } else if (waiting && queue.link() === "down") {
      line.textContent = `The link is down. ${words} kept here and sent when it is back; go on measuring.`;
    } else {
      line.textContent = "";
    }
    line.hidden = !line.textContent;
  }

  // ---- questions: slips and refusals, each in place ----
  function questions() {
    const list = find("#questions");
    if (!list) return;
    const open = queue.ofHead(here().tag).filter((one) => one.state !== "waiting");
    for (const shown of findAll("[data-uuid]", list)) {
      if (!open.some((one) => one.uuid === shown.dataset.uuid)) shown.remove();
    }
    for (const entry of open) {
      if (!find(`[data-uuid="${CSS.escape(entry.uuid)}"]`, list)) list.append(question(entry));
    }
    list.hidden = !list.children.length;
  }

  function question(entry) {
    const card = document.createElement("div");
    card.className = "question sentence sentence--close";
    card.dataset.uuid = entry.uuid;
    const words = document.createElement("p");
    words.textContent = entry.sentence || `${entry.label}: ${entry.values.typed} is not stored yet.`;
    const buttons = document.createElement("div");
    buttons.className = "row";
    const button = (text, act, kind) => {
      const one = document.createElement("button");
      one.type = "button";
      one.className = `button ${kind || ""}`;
      one.textContent = text;
      one.addEventListener("click", () => { act(); field().focus({ preventScroll: true }); });
      buttons.append(one);
    };
    const settle = (values) => {
      if (ringed === entry.values.place && field().value.trim() === entry.values.typed) {
        field().value = "";
        moveOn(entry.values.place);
      }
      clearError();
      queue.again(entry.uuid, values);
      pending();
    };
    if (entry.state === "asked") {
      for (const likely of entry.likely || []) button(likely.words, () => settle(likely.values), "button--primary");
      button(`Keep ${entry.values.typed}`, () => settle({ slip_kept: "yes" }));
    } else {
      button("Try again", () => settle({}));
    }
    button("Leave it out", () => {
      if (ringed === entry.values.place && field().value.trim() === entry.values.typed) field().value = "";
      clearError();
      queue.remove(entry.uuid);
    }, "button--quiet");
    card.append(words, buttons);
    return card;
  }

  function moveOn(place) {
    const next = nextPlace(place);
    if (next) ring(next);
  }

  // The field goes back to a place that asks, unless the next reading is already being typed.
  function comeBack(entry, sentence) {
    if (entry.values.quantity !== here().quantity || field().value.trim()) return;
    ring(entry.values.place);
    field().value = entry.values.typed;
    field().select();
    if (sentence) showError(sentence);
  }

  function swap(html) {
    const before = find("#readings-list");
    const top = before ? before.scrollTop : 0;
    const map = find("#deck-map");
    const left = map ? map.scrollLeft : 0;
    window.htmx.swap("#swap-ground", html, { swapStyle: "innerHTML" });
    find("#swap-ground").replaceChildren();
    if (find("#deck-map")) find("#deck-map").scrollLeft = left;
    if (find("#readings-list")) find("#readings-list").scrollTop = top;
  }

  queue.listen((what, entry, more) => {
    if (!bench()) return;
    if (what === "stored" && entry.tag === here().tag) {
      said += 1;
      if (entry.values.quantity === here().quantity) swap(more.html);
      pending();
      const row = rowOf(ringed);
      if (row && ringed === entry.values.place) ring(ringed, { fresh: true });
    } else if (what === "asked") {
      const ground = document.createElement("template");
      ground.innerHTML = more.html;
      const likely = findAll("[data-likely]", ground.content).map((one) => ({
        words: one.dataset.words,
        values: { typed: one.dataset.typed, side: one.dataset.side },
      }));
      entry.likely = likely;
      queue.mark(entry.uuid, { likely });
      pending();
      comeBack(entry);
    } else if (what === "refused") {
      pending();
      comeBack(entry, more.sentence);
    } else {
      pending();
    }
  });

  // ---- taps and keys ----
  document.addEventListener("click", (event) => {
    if (!bench() || event.ctrlKey || event.metaKey || event.shiftKey) return;
    const mark = event.target.closest("#deck-map [data-place], #readings tr[data-place]");
    if (mark && mark.dataset.place !== undefined && (mark.dataset.quantity || here().quantity) === here().quantity && rowOf(mark.dataset.place)) {
      event.preventDefault();
      clearError();
      ring(mark.dataset.place);
      field() && field().focus({ preventScroll: true });
      return;
    }
    const correct = event.target.closest("[data-correct]");
    if (correct) {
      setMode("correct", { id: correct.dataset.correct, words: correct.dataset.words });
      find("#entry [name=why]").focus();
      return;
    }
    if (event.target.closest("#correcting-stop")) {
      setMode("add");
      field().focus({ preventScroll: true });
      return;
    }
    const why = event.target.closest("[data-why]");
    if (why) {
      find("#entry [name=why]").value = why.dataset.why;
      field().focus({ preventScroll: true });
    }
  });

  document.addEventListener("change", (event) => {
    if (!bench()) return;
    if (event.target.name === "gauge") {
      remembered("gauge", event.target.value);
      gaugeLine();
    }
    if (event.target.name === "side") remembered("side", event.target.value);
    if (event.target.name === "gauge" || event.target.name === "side") field().focus({ preventScroll: true });
  });

  document.addEventListener("submit", (event) => {
    if (event.target.id !== "entry") return;
    event.preventDefault();
    submit();
  });

  document.addEventListener("keydown", (event) => {
    if (!bench() || !field() || event.altKey || event.ctrlKey || event.metaKey) return;
    const at = document.activeElement;
    if (at === field() && (event.key === "ArrowDown" || event.key === "ArrowUp")) {
      const list = rows();
      const place = list.findIndex((row) => row.dataset.place === ringed) + (event.key === "ArrowDown" ? 1 : -1);
      if (list[place]) {
        event.preventDefault();
        ring(list[place].dataset.place);
      }
      return;
    }
    // A gauge types into the page as such: digits that go nowhere go into the field.
    const typing = at && (/^(INPUT|SELECT|TEXTAREA)$/.test(at.tagName) || at.isContentEditable);
    if (!typing && /^[\d.,+-]$/.test(event.key)) field().focus({ preventScroll: true });
  });

  function begin() {
    if (!bench() || !field()) {
      if (bench()) ringed = bench().dataset.place;
      return;
    }
    recall();
    ringed = null;
    ring(bench().dataset.place, { fresh: true, quick: true });
    pending();
    if (window.matchMedia("(hover: hover)").matches || said) field().focus({ preventScroll: true });
    queue.send();
    const others = queue.othersWaiting();
    if (others.length && !find("#say").children.length) {
      window.castworthy.say(`${others[0].count} reading${others[0].count === 1 ? "" : "s"} typed here by ${others[0].who} wait until that person signs in on this machine.`);
    }
  }

  document.addEventListener("htmx:afterSettle", (event) => {
    if (event.detail.target && event.detail.target.id === "bench") begin();
  });
  begin();
})();
