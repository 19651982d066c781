/* A sum's form: says of every field whether it is wrong, as its own sentence does. */
"use strict";

document.addEventListener("htmx:afterSettle", () => {
  document.querySelectorAll("[data-sum] .sum__error").forEach((error) => {
    const control = document.getElementById(error.id.replace(/-error$/, ""));
    if (!control) return;
    if (error.textContent) control.setAttribute("aria-invalid", "true");
    else control.removeAttribute("aria-invalid");
  });
});

/* What stands in the fields is kept, even where its answer is still on its way. */
document.addEventListener("submit", (event) => {
  const typed = document.querySelector("[data-sum]");
  if (!typed || !event.target.matches(".sum__keeping")) return;
  event.target.querySelectorAll("input[type=hidden]").forEach((kept) => {
    const field = typed.elements[kept.name];
    if (field) kept.value = field.value;
  });
});
