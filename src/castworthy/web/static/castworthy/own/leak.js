// The vacuum log of a port: what the gauge shows is typed and bears the time since the first
// reading.  Every reading is a line of the form, kept in this browser until the shop has it.
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
  let startMs = 0;
  let gone = null;

  const lines = () => log.querySelector("[name=readings]");

  function keep() {
    try {
      if (lines().value.trim()) localStorage.setItem(key, JSON.stringify({ startMs, text: lines().value }));
      else localStorage.removeItem(key);
    } catch (_) {
      // a browser that keeps nothing still holds the lines on the page
    }
  }

  function restore() {
    try {
      const kept = JSON.parse(localStorage.getItem(key) || "null");
      if (!kept || lines().value.trim()) return;
      startMs = kept.startMs;
      lines().value = kept.text;
      changed();
    } catch (_) {
      localStorage.removeItem(key);
    }
  }

  function changed() {
    keep();
    htmx.trigger(log, "log-changed");
    tick();
  }

  function tick() {
    const count = lines().value.split("\n").filter((line) => line.trim()).length;
    if (!startMs || !count) return;
    const seconds = Math.round((Date.now() - startMs) / 1000);
    clock.textContent = count + (count === 1 ? " reading, " : " readings, ") + seconds + " s since the first.";
  }

  tap.addEventListener("submit", (event) => {
    event.preventDefault();
    const typed = field.value.trim();
    const now = Date.now();
    said.textContent = "";
    if (!typed) return;
    if (!/^\d+([.,]\d*)?$/.test(typed)) {
      said.textContent = "“" + typed + "” is no vacuum and was not taken; type the figure the gauge shows, in " + unit + ".";
      field.select();
      return;
    }
    const text = lines().value.trimEnd();
    if (text && !startMs) {
      said.textContent = "The lines came from a file or were pasted; start over before the gauge is typed live.";
      return;
    }
    if (!text) startMs = now;
    gone = null;
    over.textContent = "Start over";
    const seconds = ((now - startMs) / 1000).toFixed(1);
    lines().value = (text ? text + "\n" : "") + seconds + " " + typed;
    field.value = "";
    field.focus();
    changed();
  });

  document.querySelector("[data-tap-back]").addEventListener("click", () => {
    const all = lines().value.trimEnd().split("\n");
    field.value = (all.pop() || "").trim().split(/\s+/)[1] || "";
    lines().value = all.join("\n");
    if (!lines().value) startMs = 0;
    field.focus();
    field.select();
    changed();
  });

  over.addEventListener("click", () => {
    if (gone) {
      startMs = gone.startMs;
      lines().value = gone.text;
      gone = null;
    } else if (lines().value.trim() || log.querySelector("[name=file]").value) {
      gone = { startMs, text: lines().value };
      startMs = 0;
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

  log.addEventListener("input", (event) => {
    if (event.target === lines()) keep();
  });

  document.addEventListener("htmx:oobAfterSwap", (event) => {
    if (event.detail.target.id !== "leak-lines") return;
    log.querySelector("[name=file]").value = "";
    startMs = 0;
    keep();
  });
  document.addEventListener("htmx:beforeOnLoad", (event) => {
    if (event.detail.xhr.getResponseHeader("HX-Redirect")) localStorage.removeItem(key);
  });

  tap.hidden = false;
  restore();
  setInterval(tick, 500);
  field.focus();
})();
