// Keeps the sheet under way on this device until the server has it, and offers it again.
(function () {
  "use strict";

  const form = document.getElementById("sheet");
  if (!form) return;
  const key = `castworthy-sheet-${form.dataset.sheet}`;
  const notice = document.getElementById("kept-draft");
  const begun = liveText();
  let sending = false;

  function liveText() {
    const held = document.querySelector("[data-live-text]");
    return held ? held.value : "";
  }

  function read() {
    try {
      return JSON.parse(localStorage.getItem(key) || "null");
    } catch {
      return null;
    }
  }

  function write(kept) {
    try {
      if (kept) localStorage.setItem(key, JSON.stringify(kept));
      else localStorage.removeItem(key);
    } catch {
      // A browser that keeps nothing still has the page itself.
    }
  }

  function now() {
    const text = document.getElementById("sheet-text");
    return text ? text.value : liveText();
  }

  function keep() {
    const text = now();
    if (text === begun) return;
    write({ text, base: form.dataset.base, at: Date.now(), sent: false });
  }

  function offer() {
    const kept = read();
    if (!kept) return;
    const stored = kept.sent && Number(form.dataset.base) > Number(kept.base);
    if (stored || kept.text === begun) {
      write(null);
      return;
    }
    notice.querySelector("[data-kept-when]").textContent = new Date(kept.at).toLocaleString();
    notice.hidden = false;
  }

  notice.querySelector("[data-kept-back]").addEventListener("click", () => {
    const kept = read();
    notice.hidden = true;
    if (!kept) return;
    window.htmx.ajax("POST", form.getAttribute("hx-post") + "?show=text", {
      target: "#panel",
      values: { way: "text", text: kept.text, revises: form.elements.revises.value, base_number: form.dataset.base },
    });
  });
  notice.querySelector("[data-kept-drop]").addEventListener("click", () => {
    write(null);
    notice.hidden = true;
  });

  document.addEventListener("htmx:afterSettle", keep);
  form.addEventListener("input", () => {
    if (document.getElementById("sheet-text")) keep();
  });
  form.addEventListener("submit", () => {
    sending = true;
    write({ text: now(), base: form.dataset.base, at: Date.now(), sent: true });
  });
  window.addEventListener("beforeunload", (event) => {
    if (!sending && now() !== begun) event.preventDefault();
  });
  offer();
})();
