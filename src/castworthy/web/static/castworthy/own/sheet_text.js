// The sheet's text: line numbers, what is to mend marked, and the way from a finding to its place.
(function () {
  "use strict";

  function findings() {
    return Array.from(document.querySelectorAll("#live [data-line]"));
  }

  function number(code) {
    const text = code.querySelector("textarea");
    const lines = code.querySelector("[data-code-lines]");
    const wrong = new Set(findings().map((one) => one.dataset.line));
    const count = text.value.split("\n").length;
    const written = [];
    for (let line = 1; line <= count; line += 1) {
      written.push(wrong.has(String(line)) ? `▲ ${line}` : String(line));
    }
    lines.textContent = written.join("\n");
    lines.scrollTop = text.scrollTop;
  }

  function numberAll() {
    document.querySelectorAll("[data-code]").forEach(number);
  }

  function markFields() {
    document.querySelectorAll("#panel [data-wrong]").forEach((field) => {
      field.removeAttribute("data-wrong");
      field.removeAttribute("aria-invalid");
      field.removeAttribute("title");
    });
    findings().forEach((one) => {
      const field = fieldOf(one);
      if (!field) return;
      field.setAttribute("data-wrong", "");
      field.setAttribute("aria-invalid", "true");
      field.title = one.textContent.trim();
    });
  }

  function markText() {
    const text = document.getElementById("sheet-text");
    if (!text) return;
    if (findings().length) text.setAttribute("aria-invalid", "true");
    else text.removeAttribute("aria-invalid");
  }

  function fieldOf(one) {
    if (!one.dataset.field) return null;
    const fields = document.querySelectorAll(`#panel [name="${CSS.escape(one.dataset.field)}"]`);
    return fields[Number(one.dataset.place)] || null;
  }

  function toLine(line) {
    const text = document.getElementById("sheet-text");
    if (!text || !line) return false;
    const lines = text.value.split("\n");
    const start = lines.slice(0, line - 1).reduce((sum, each) => sum + each.length + 1, 0);
    text.focus();
    text.setSelectionRange(start, start + (lines[line - 1] || "").length);
    const height = text.scrollHeight / lines.length;
    text.scrollTop = Math.max(0, (line - 1) * height - text.clientHeight / 3);
    text.scrollIntoView({ block: "nearest" });
    return true;
  }

  function toField(one) {
    const field = fieldOf(one);
    if (!field) {
      const part = document.getElementById(`part-${one.dataset.field.split(".")[0]}`);
      if (part && part.tagName === "DETAILS") part.open = true;
      if (part) part.scrollIntoView({ block: "start" });
      return;
    }
    const part = field.closest("details.part");
    if (part) part.open = true;
    field.focus();
    field.scrollIntoView({ block: "center" });
  }

  document.addEventListener("click", (event) => {
    const one = event.target.closest("#live [data-line]");
    if (!one) return;
    if (!toLine(Number(one.dataset.line))) toField(one);
  });

  document.addEventListener("input", (event) => {
    if (event.target.id === "sheet-text") number(event.target.closest("[data-code]"));
  });

  document.addEventListener("scroll", (event) => {
    if (event.target.id !== "sheet-text") return;
    event.target.closest("[data-code]").querySelector("[data-code-lines]").scrollTop = event.target.scrollTop;
  }, true);

  document.addEventListener("htmx:afterSettle", () => {
    numberAll();
    markFields();
    markText();
  });
  numberAll();
  markFields();
})();
