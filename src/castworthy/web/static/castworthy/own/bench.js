// The bench page.  Hands stay on the gauge: digits and Enter go into the ringed place, the ring
// moves on at once, and the server's answer swaps what it changed whenever it comes.
(function () {
  "use strict";

  const { queue, say } = window.castworthy;
  const find = (selector, from) => (from || document).querySelector(selector);
  const findAll = (selector, from) => Array.from((from || document).querySelectorAll(selector));
  const bench = () => find("#bench");
  const form = () => find("#entry");
  const field = () => find("#typed");
  const rows = () => findAll("#readings tr[data-place]");
  const here = () => bench().dataset;
  let ringed = null; // the place the field belongs to
  let correcting = ""; // the reading that is being corrected, or ""
  let used = false; // somebody typed or tapped here

  const rowOf = (place) => rows().find((row) => row.dataset.place === place) || null;
  const marksHere = () => findAll("#deck-map [data-place]").filter((mark) => mark.dataset.quantity === here().quantity);
  const toField = () => field() && field().focus({ preventScroll: true });

  function waits(place) {
    return queue.ofHead(here().tag).some(
      (one) => one.state === "waiting" && one.values.quantity === here().quantity && one.values.place === place
    );
  }

  function nextPlace(from) {
    const list = rows();
    const at = list.findIndex((row) => row.dataset.place === from);
    const walk = list.slice(at + 1).concat(list.slice(0, Math.max(at, 0)));
    const found = walk.find((row) => row.dataset.needed === "yes" && !waits(row.dataset.place));
    return found ? found.dataset.place : null;
  }

  // ---- the ring ----
  function ring(place, options) {
    const row = rowOf(place);
    if (!row) return;
    const fresh = ringed !== place || Boolean(options && options.fresh);
    ringed = place;
    showRing();
    if (fresh) {
      if (form()) {
        correct(null);
        form().elements.place.value = place;
        for (const way of findAll("[data-sum]", form())) {
          const to = new URL(way.href);
          to.searchParams.set("place", place);
          way.href = to;
        }
        find("#place-name").textContent = row.dataset.label;
        find("#place-limit").textContent = row.dataset.limit;
        const count = Number(row.dataset.readings || 0);
        find("#place-state").textContent =
          count === 0 ? "" : count === 1 ? "Read once; another reading is averaged with it." : `Read ${count} times; another reading is averaged with them.`;
      }
      past(row);
      window.history.replaceState(window.history.state, "", row.dataset.href);
    }
    keepInView(row, options && options.quick ? "auto" : "smooth");
  }

  function showRing() {
    for (const row of rows()) {
      const on = row.dataset.place === ringed;
      row.classList.toggle("is-next", on);
      if (on) row.setAttribute("aria-current", "true");
      else row.removeAttribute("aria-current");
    }
    for (const mark of marksHere()) mark.classList.toggle("cw-here", mark.dataset.place === ringed);
    for (const again of findAll("[data-goto]")) again.hidden = again.dataset.goto === ringed;
    const hint = find("#entry-next");
    if (!hint) return;
    const next = nextPlace(ringed) && rowOf(nextPlace(ringed));
    const row = rowOf(ringed);
    const how = row && row.dataset.needed === "no" ? "Enter on the empty field" : "Enter";
    hint.textContent = next ? `${how} moves to ${next.dataset.short}.` : "";
  }

  function keepInView(row, behavior) {
    const list = find("#readings-list");
    if (list && list.scrollHeight > list.clientHeight + 2) {
      const box = row.getBoundingClientRect();
      const edge = list.getBoundingClientRect();
      list.scrollBy({ top: box.top + box.height / 2 - edge.top - edge.height / 2, behavior });
    }
    for (const mark of marksHere()) {
      if (mark.dataset.place !== row.dataset.place || !mark.getClientRects().length) continue;
      const frame = mark.closest("#map-phone") || find("#deck-map");
      const box = mark.getBoundingClientRect();
      const edge = frame.getBoundingClientRect();
      const left = box.left + box.width / 2 - edge.left - edge.width / 2;
      const top = box.top + box.height / 2 - edge.top - edge.height / 2;
      if (frame.scrollWidth > frame.clientWidth + 2) frame.scrollBy({ left, behavior });
      if (frame.scrollHeight > frame.clientHeight + 2) frame.scrollBy({ top, behavior });
    }
  }

  // ---- what was read before at this place ----
  async function past(row) {
    const card = find("#history");
    if (!card) return;
    if (!Number(row.dataset.history || 0)) {
      card.hidden = true;
      card.replaceChildren();
      return;
    }
    const place = row.dataset.place;
    try {
      const answer = await fetch(row.dataset.historyHref, { headers: { "HX-Request": "true" }, credentials: "same-origin" });
      const html = answer.ok ? await answer.text() : "";
      if (ringed !== place || !html) return;
      card.innerHTML = html;
      if (find(`#said [data-said="${CSS.escape(place)}"]`)) findAll(".sentence", card).forEach((one) => one.remove());
      card.hidden = false;
    } catch (_) {
      card.hidden = true; // the link is down: the queue says so
    }
  }

  function correct(reading) {
    correcting = reading ? reading.uuid : "";
    const card = find("#correcting");
    if (!card) return;
    card.hidden = !reading;
    form().elements.replaces.value = correcting;
    form().elements.why.value = "";
    if (reading) find("#correcting-what").textContent = reading.words;
  }

  // ---- remembered choices ----
  function remembered(name, value) {
    const key = `castworthy.${name}.${here().quantity}`;
    try {
      if (value === undefined) return localStorage.getItem(key);
      localStorage.setItem(key, value);
    } catch (_) {
      return null; // nothing is remembered then
    }
    return value;
  }

  const sideButton = (side) => findAll("#entry [name=side]").find((one) => one.value === side);

  function recall() {
    const side = sideButton(remembered("side") || "");
    if (side) side.checked = true;
    const select = find("#entry [name=gauge]");
    const gauge = remembered("gauge");
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
    const parts = form().elements;
    const input = field();
    const side = find("[name=side]:checked", form());
    const flush = Boolean(side && side.value === "flush");
    const typed = input.value.trim() || (flush ? "0" : "");
    complain("");
    if (!typed) {
      moveOn();
      return;
    }
    if (correcting && !parts.why.value.trim()) {
      complain("Say in a word why the earlier reading is wrong; both stay in the history.");
      parts.why.focus();
      return;
    }
    const row = rowOf(ringed);
    const map = find("#map-wide").offsetParent ? "wide" : "phone";
    const values = { quantity: here().quantity, place: ringed, typed, unit: parts.unit.value, map };
    if (side) values.side = side.value;
    if (parts.gauge) values.gauge = parts.gauge.value;
    if (correcting) Object.assign(values, { replaces: correcting, why: parts.why.value.trim() });
    for (const old of queue.ofHead(here().tag)) {
      if (old.state !== "waiting" && old.values.quantity === values.quantity && old.values.place === ringed) queue.remove(old.uuid);
    }
    input.value = "";
    const stays = Boolean(correcting) || row.dataset.needed === "no";
    queue.add({ tag: here().tag, url: form().getAttribute("action"), label: row.dataset.label, values });
    if (flush) {
      const usual = sideButton(remembered("side") || "below");
      if (usual) usual.checked = true;
    }
    const next = nextPlace(ringed);
    if (next && !stays) ring(next);
    else ring(ringed, { fresh: true });
    toField();
  }

  function moveOn() {
    const next = nextPlace(ringed);
    const onward = find("#onward a");
    if (next) ring(next);
    else if (onward) onward.click();
  }

  function complain(sentence) {
    const place = find("#entry-error");
    if (!place) return;
    place.textContent = sentence;
    place.hidden = !sentence;
    field().setAttribute("aria-invalid", sentence ? "true" : "false");
  }

  function flipSign() {
    const input = field();
    const text = input.value.trim();
    input.value = /^[-−]/.test(text) ? text.slice(1) : `-${text.replace(/^\+/, "")}`;
    toField();
  }

  // ---- what is on its way ----
  function showWaiting() {
    for (const words of findAll("#readings .pending")) words.remove();
    for (const row of rows()) row.classList.remove("is-waiting", "is-asked");
    for (const entry of queue.ofHead(here().tag)) {
      const row = entry.values.quantity === here().quantity && rowOf(entry.values.place);
      if (!row) continue;
      row.classList.add(entry.state === "waiting" ? "is-waiting" : "is-asked");
      const words = document.createElement("span");
      words.className = "pending";
      words.textContent = entry.values.typed;
      find(".reading__value", row).append(words);
    }
    linkLine();
    questions();
    showRing();
  }

  function linkLine() {
    const line = find("#link-line");
    if (!line) return;
    const count = queue.entries().filter((one) => one.state === "waiting").length;
    const words = count === 1 ? "1 reading is" : `${count} readings are`;
    const link = queue.link();
    line.textContent =
      count && link === "signed out"
        ? `You are signed out. ${words} kept here and sent once you sign in again.`
        : count && link === "down"
          ? `The link is down. ${words} kept here and sent when it is back; go on measuring.`
          : "";
    line.hidden = !line.textContent;
  }

  // ---- questions: slips and refusals, each in place ----
  function questions() {
    const list = find("#questions");
    if (!list) return;
    const open = queue.ofHead(here().tag).filter((one) => one.state !== "waiting");
    list.replaceChildren(...open.map(question));
    list.hidden = !open.length;
  }

  function question(entry) {
    const card = document.createElement("div");
    card.className = "question sentence sentence--close";
    card.setAttribute("role", "group");
    const words = document.createElement("p");
    words.textContent = entry.sentence || `${entry.label}: ${entry.values.typed} is not stored yet.`;
    const buttons = document.createElement("div");
    buttons.className = "row";
    const button = (text, act, kind) => {
      const one = document.createElement("button");
      one.type = "button";
      one.className = `button ${kind || ""}`;
      one.textContent = text;
      one.addEventListener("click", () => {
        act();
        complain("");
        toField();
      });
      buttons.append(one);
    };
    const settle = (values) => {
      leaveField(entry);
      queue.again(entry.uuid, values);
      showWaiting();
    };
    if (entry.state === "asked") {
      for (const likely of entry.likely || []) button(likely.words, () => settle(likely.values));
      button(`Keep ${entry.values.typed}`, () => settle({ slip_kept: "yes" }));
    } else {
      button("Try again", () => settle({}));
    }
    button("Leave it out", () => {
      leaveField(entry);
      queue.remove(entry.uuid);
    }, "button--quiet");
    card.append(words, buttons);
    return card;
  }

  // An answered question gives the field back, and the ring goes on from its place.
  function leaveField(entry) {
    if (ringed !== entry.values.place || field().value.trim() !== entry.values.typed) return;
    field().value = "";
    const next = nextPlace(ringed);
    if (next) ring(next);
  }

  // The field goes back to a place that asks, unless the next reading is already being typed.
  function comeBack(entry, sentence) {
    if (entry.tag !== here().tag || entry.values.quantity !== here().quantity || field().value.trim()) return;
    ring(entry.values.place);
    const side = sideButton(entry.values.side || "");
    if (side) side.checked = true;
    field().value = entry.values.typed;
    toField();
    field().select();
    if (sentence) complain(sentence);
  }

  function swap(html, whole) {
    const list = find("#readings-list");
    const map = find("#deck-map");
    const at = [list.scrollTop, map.scrollLeft, find("#map-phone").scrollTop];
    const ground = document.createElement("template");
    ground.innerHTML = html;
    if (!whole) {
      for (const part of findAll("#map-wide, #map-phone, #run-sheet, #onward, template", ground.content)) part.remove();
    }
    window.htmx.swap("#swap-ground", ground.innerHTML, { swapStyle: "innerHTML" });
    find("#swap-ground").replaceChildren();
    find("#readings-list").scrollTop = at[0];
    find("#deck-map").scrollLeft = at[1];
    find("#map-phone").scrollTop = at[2];
  }

  queue.listen((what, entry, more) => {
    if (!bench() || !form()) return;
    if (what === "stored" && entry.tag === here().tag) {
      const shown = entry.values.quantity === here().quantity;
      swap(more.html, shown);
      showWaiting();
      if (shown && ringed === entry.values.place && !correcting) ring(ringed, { fresh: true });
    } else if (what === "asked") {
      const ground = document.createElement("template");
      ground.innerHTML = more.html;
      const likely = findAll("[data-likely]", ground.content).map((one) => ({
        words: one.dataset.words,
        values: { typed: one.dataset.typed, ...(one.dataset.side ? { side: one.dataset.side } : {}) },
      }));
      queue.mark(entry.uuid, { likely });
      showWaiting();
      comeBack(entry);
    } else if (what === "refused") {
      showWaiting();
      comeBack(entry, more.sentence);
    } else {
      showWaiting();
    }
  });

  // ---- taps and keys ----
  document.addEventListener("click", (event) => {
    if (!bench() || event.ctrlKey || event.metaKey || event.shiftKey) return;
    used = true;
    const target = event.target;
    const mark = target.closest("#deck-map [data-place], #readings tr[data-place]");
    if (mark && (mark.dataset.quantity || here().quantity) === here().quantity && rowOf(mark.dataset.place)) {
      event.preventDefault();
      complain("");
      ring(mark.dataset.place);
      toField();
      return;
    }
    if (!form()) return;
    const goto = target.closest("[data-goto]");
    const wrong = target.closest("[data-correct]");
    const why = target.closest("[data-why]");
    if (goto) {
      ring(goto.dataset.goto);
      toField();
    } else if (wrong) {
      correct({ uuid: wrong.dataset.correct, words: wrong.dataset.words });
      form().elements.why.focus();
      find("#correcting").scrollIntoView({ block: "nearest", behavior: "smooth" });
    } else if (why) {
      form().elements.why.value = why.dataset.why;
      toField();
    } else if (target.closest("#correcting-stop")) {
      correct(null);
      complain("");
      toField();
    } else if (target.closest("#sign")) {
      flipSign();
    }
  });

  document.addEventListener("change", (event) => {
    if (!bench() || !form()) return;
    const { name, value } = event.target;
    if (name === "gauge") {
      remembered("gauge", value);
      gaugeLine();
    }
    if (name === "side" && value !== "flush") remembered("side", value);
    if (name === "gauge") toField();
  });

  document.addEventListener("submit", (event) => {
    if (event.target.id !== "entry") return;
    event.preventDefault();
    used = true;
    submit();
  });

  document.addEventListener("keydown", (event) => {
    if (!bench() || event.altKey || event.ctrlKey || event.metaKey) return;
    const at = document.activeElement;
    const typing = at && /^(INPUT|SELECT|TEXTAREA)$/.test(at.tagName);
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (step && (at === field() || !typing)) {
      const list = rows();
      const next = list[list.findIndex((row) => row.dataset.place === ringed) + step];
      if (next) {
        event.preventDefault();
        ring(next.dataset.place);
      }
    } else if (event.key === "Escape" && correcting) {
      correct(null);
      toField();
    } else if (!typing && /^[\d.,+-]$/.test(event.key)) {
      toField(); // a gauge types into the page as such: its digits belong into the field
    }
  });

  function begin() {
    if (!bench() || here().ready) return;
    bench().dataset.ready = "yes";
    bench().classList.add("bench--live");
    ringed = null;
    correcting = "";
    if (form()) recall();
    ring(here().place, { fresh: true, quick: true });
    const current = find(".run__line[aria-current]");
    const lines = find(".run__lines");
    if (current && lines.scrollWidth > lines.clientWidth) lines.scrollLeft = current.offsetLeft - lines.clientWidth / 2;
    if (!form()) return;
    showWaiting();
    if (used || window.matchMedia("(hover: hover)").matches) toField();
    queue.send();
    const other = queue.othersWaiting()[0];
    if (other) say(`${other.count === 1 ? "1 reading" : `${other.count} readings`} typed on this machine by ${other.who} wait until that person signs in here.`);
  }

  document.addEventListener("htmx:load", begin);
  document.addEventListener("htmx:historyRestore", begin);
  begin();
})();
