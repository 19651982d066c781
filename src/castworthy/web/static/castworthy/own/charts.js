// Draws the charts of a trace when they come into view, in the page's own colours.
(function () {
  "use strict";

  const COLOURS = ["ink", "soft", "rule", "blue", "ochre"];
  const waiting = document.querySelectorAll("[data-chart]");
  if (!waiting.length || !window.vegaEmbed) return;

  function coloured(chart) {
    const page = getComputedStyle(document.documentElement);
    for (const param of chart.params || []) {
      if (COLOURS.includes(param.name)) param.value = page.getPropertyValue("--" + param.name).trim();
    }
    return chart;
  }

  async function draw(place) {
    const answer = await fetch(place.dataset.chart, { credentials: "same-origin" });
    if (!answer.ok) {
      place.textContent = "The chart could not be fetched; load the page again.";
      return;
    }
    const chart = coloured(await answer.json());
    await window.vegaEmbed(place, chart, {
      actions: false, ast: true, defaultStyle: false, renderer: "svg", logLevel: 1, tooltip: { disableDefaultStyle: true },
    });
    place.classList.add("chart--drawn");
  }

  const seen = new IntersectionObserver((entries) => {
    for (const entry of entries) {
      if (!entry.isIntersecting) continue;
      seen.unobserve(entry.target);
      draw(entry.target);
    }
  }, { rootMargin: "200px" });
  waiting.forEach((place) => seen.observe(place));

  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => {
    document.querySelectorAll(".chart--drawn").forEach(draw);
  });
})();
