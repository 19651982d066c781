// The vacuum log of a port: what the gauge shows is typed and bears the time since the first
// reading.  Every reading is a line of the form; with the figures beside it, it is kept in this
// browser until the shop has it.  A reading taken back to be corrected keeps its own time.
(function () {
  "use strict";

  const log = document.getElementById("log");
  const tap = document.querySelector("[data-tap]");
  if (!log || !tap) return;
  const field = document.getElementById("tap");
  const clock = document.querySelector("[data-tap-clock]");
  const said = document.querySelector("[data-tap-said]");
  const key = "castworthy.log." + document.body.dataset.person + "." + log.dataset.log;
  const unit = log.dataset.unit;
  const over = document.querySelector("[data-tap-over]");
  const most = Number(log.dataset.most);
  let startMs = 0;
  let gone = null;
  let again = "";

  const lines = () => log.querySelector("[name=readings]");
  const figures = () => [...log.querySelectorAll("input:not([type=file], [type=hidden]), select")];
  const asGiven = new Map(figures().map((each) => [each.name, each.value]));

  // read before the browser fills fields of its own accord, and not written over until restored
  const kept = read();
  let restored = false;

  function read() {
    try {
      return JSON.parse(localStorage.getItem(key) || "null");
    } catch (_) {
      return null;
    }
  }

  function keep() {
    if (!restored) return;
    const typed = {};
    for (const each of figures()) if (each.value !== asGiven.get(each.name)) typed[each.name] = each.value;
    try {
      if (lines().value.trim() || Object.keys(typed).length) {
        localStorage.setItem(key, JSON.stringify({ startMs, text: lines().value, typed }));
      } else localStorage.removeItem(key);
    } catch (_) {
      // a browser that keeps nothing still holds the lines on the page
    }
  }

  function restore() {
    restored = true;
    const there = lines().value.trim();
    if (!kept || (there && there !== kept.text.trim())) return;
    startMs = kept.startMs;
    lines().value = kept.text;
    for (const each of figures()) if (each.name in (kept.typed || {})) each.value = kept.typed[each.name];
    changed();
  }

  function changed() {
    keep();
    htmx.trigger(log, "log-changed");
    tick();
  }

  function tick() {
    const count = lines().value.split("\n").filter((line) => line.trim()).length;
    if (again) {
      clock.textContent = "Correct it: the reading keeps its time of " + again + " s. Or empty the field, press Enter and go on without it.";
      return;
    }
    if (!startMs || !count) return;
    const seconds = Math.round((Date.now() - startMs) / 1000);
    clock.textContent = count + (count === 1 ? " reading, " : " readings, ") + seconds + " s since the first.";
  }

  tap.addEventListener("submit", (event) => {
    event.preventDefault();
    const typed = field.value.trim();
    const now = Date.now();
    said.textContent = "";
    if (!typed) {
      again = "";
      tick();
      return;
    }
    if (!/^\d+([.,]\d*)?$/.test(typed)) {
      said.textContent = "“" + typed + "” is no vacuum and was not taken; type the figure the gauge shows, in " + unit + ".";
      field.select();
      return;
    }
    if (Number(typed.replace(",", ".")) > most) {
      said.textContent = typed + " " + unit + " is deeper than any air allows and was not taken; mind the decimal point.";
      field.select();
      return;
    }
    const text = lines().value.trimEnd();
    if (text && !startMs) {
      said.textContent = "The lines came from a file or were pasted; start over before the gauge is typed live.";
      return;
    }
    if (!text && !again) startMs = now;
    gone = null;
    over.textContent = "Start over";
    const seconds = again || ((now - startMs) / 1000).toFixed(1);
    again = "";
    lines().value = (text ? text + "\n" : "") + seconds + " " + typed;
    field.value = "";
    field.focus();
    changed();
  });

  function takeBack() {
    const all = lines().value.trimEnd().split("\n");
    const last = (all.pop() || "").trim().split(/\s+/);
    field.value = last[1] || "";
    again = startMs && last[1] ? last[0] : "";
    said.textContent = "";
    lines().value = all.join("\n");
    field.focus();
    field.select();
    changed();
  }

  const back = document.querySelector("[data-tap-back]");
  back.addEventListener("click", takeBack);
  field.addEventListener("keydown", (event) => {
    if (event.key !== "ArrowUp" || field.value) return;
    event.preventDefault();
    takeBack();
  });

  over.addEventListener("click", () => {
    if (gone) {
      startMs = gone.startMs;
      lines().value = gone.text;
      gone = null;
      again = "";
    } else if (lines().value.trim() || log.querySelector("[name=file]").value) {
      gone = { startMs, text: lines().value };
      startMs = 0;
      again = "";
      lines().value = "";
      log.querySelector("[name=file]").value = "";
      clock.textContent = "Pump off, first reading: the clock starts with it.";
    }
    over.textContent = gone ? "Bring the readings back" : "Start over";
    said.textContent = "";
    field.focus();
    changed();
  });

  // Enter in a field of the form goes back to the gauge instead of keeping a test half done
  log.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !event.target.matches("input:not([type=file])")) return;
    event.preventDefault();
    field.focus();
  });

  log.addEventListener("input", keep);
  log.addEventListener("change", keep);

  document.addEventListener("htmx:oobAfterSwap", (event) => {
    if (event.detail.target.id !== "leak-lines") return;
    log.querySelector("[name=file]").value = "";
    startMs = 0;
    keep();
  });
  // a sentence about one field is read out with that field, until another sentence comes
  function tie() {
    for (const each of log.querySelectorAll("[aria-describedby~=leak-said]")) {
      each.removeAttribute("aria-invalid");
      each.setAttribute("aria-describedby", each.getAttribute("aria-describedby").replace(/\s*leak-said/, ""));
    }
    const name = document.getElementById("leak-said").dataset.field;
    const wrong = name && log.elements[name];
    if (!wrong) return;
    wrong.setAttribute("aria-invalid", "true");
    wrong.setAttribute("aria-describedby", ((wrong.getAttribute("aria-describedby") || "") + " leak-said").trim());
    const folded = wrong.closest("details");
    if (folded) folded.open = true;
  }
  for (const name of ["htmx:afterSettle", "htmx:oobAfterSwap"]) document.addEventListener(name, tie);

  document.addEventListener("htmx:beforeOnLoad", (event) => {
    if (event.detail.xhr.getResponseHeader("HX-Redirect")) localStorage.removeItem(key);
  });

  tap.hidden = false;
  over.hidden = false;
  // not before the page is ready to ask for the chart of what is brought back
  document.addEventListener("DOMContentLoaded", restore);
  setInterval(tick, 500);
  field.focus();
})();
