// A gauge that types ends with Enter: it moves on to the next empty stand, and sends the last.
(function () {
  "use strict";

  const form = document.querySelector("[data-ring]");
  if (!form) return;
  const stands = [...form.querySelectorAll("input:not([type=hidden])")];
  const invalid = stands.find((one) => one.getAttribute("aria-invalid") === "true");
  const first = invalid || (location.hash === "#read" ? stands[0] : null);
  // Going to a part of the page takes the focus away once it has loaded; so take it after that.
  if (first) addEventListener("load", () => setTimeout(() => first.focus({ preventScroll: !invalid })));

  form.addEventListener("keydown", (event) => {
    const at = stands.indexOf(event.target);
    if (event.key !== "Enter" || at < 0) return;
    const next = [...stands.slice(at + 1), ...stands.slice(0, at)].find((one) => !one.value.trim());
    if (next) {
      event.preventDefault();
      next.focus();
    }
  });
}());
