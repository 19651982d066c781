// Shows the photo just taken or chosen; the other input is emptied, so that one photo is sent.
(function () {
  "use strict";

  const form = document.querySelector("[data-photo-form]");
  if (!form) return;
  const seen = form.querySelector("[data-photo-seen]");
  const shown = seen.querySelector("img");
  const inputs = form.querySelectorAll("input[type=file]");

  form.addEventListener("change", (event) => {
    const input = event.target;
    if (input.type !== "file") return;
    inputs.forEach((each) => {
      if (each !== input) each.value = "";
    });
    if (shown.src) URL.revokeObjectURL(shown.src);
    const photo = input.files[0];
    seen.hidden = !photo;
    if (photo) shown.src = URL.createObjectURL(photo);
  });

  form.addEventListener("submit", (event) => {
    if (form.dataset.sending) {
      event.preventDefault();
      return;
    }
    form.dataset.sending = "yes";
    const button = form.querySelector("[type=submit]");
    button.textContent = "Sending the photo …";
    window.addEventListener("pageshow", () => {
      delete form.dataset.sending;
      button.textContent = "Keep the photo";
    }, { once: true });
  });
})();
