"use strict";
/* Links plots over time, the list of contacts and the player; unpacks CSV; prepares printing. */
(() => {
  const csv = JSON.parse(document.getElementById("data-csv").textContent);
  const cursors = [];
  for (const plot of document.querySelectorAll(".plot")) {
    const panels = JSON.parse(plot.dataset.panels);
    if (!panels.length) continue;
    plot.classList.add("timed");
    for (const [left, top, right, bottom, first, last] of panels) {
      const mark = document.createElement("i");
      mark.className = "cursor"; mark.hidden = true;
      mark.style.top = `${100 * top}%`; mark.style.height = `${100 * (bottom - top)}%`;
      plot.append(mark); cursors.push({ mark, left, right, first, last });
    }
    plot.addEventListener("click", (event) => {
      const box = plot.getBoundingClientRect();
      const x = (event.clientX - box.left) / box.width, y = (event.clientY - box.top) / box.height;
      const hit = panels.find(([l, t, r, b]) => x >= l && x <= r && y >= t && y <= b);
      if (hit) Player.seek(hit[4] + (x - hit[0]) / (hit[2] - hit[0]) * (hit[5] - hit[4]));
    });
  }
  const rows = [...document.querySelectorAll("#impacts tbody tr")];
  Player.onTime((time, stretch) => {
    for (const { mark, left, right, first, last } of cursors) {
      const share = (time - first) / (last - first);
      mark.hidden = share < 0 || share > 1;
      mark.style.left = `calc(${100 * (left + share * (right - left))}% - 1px)`;
      mark.dataset.time = String(time);
    }
    rows.forEach((row, i) => { row.classList.toggle("chosen", i === stretch); row.toggleAttribute("aria-current", i === stretch); });
  });
  rows.forEach((row, i) => row.addEventListener("click", () => Player.impact(i)));
  for (const link of document.querySelectorAll("a[data-csv]")) {
    link.addEventListener("click", async (event) => {
      event.preventDefault();
      const address = URL.createObjectURL(new Blob([await Player.bytes(csv[link.dataset.csv])], { type: "text/csv" }));
      const way = document.createElement("a");
      way.href = address; way.download = `${link.dataset.csv}.csv`; way.click();
      setTimeout(() => URL.revokeObjectURL(address), 10000);
    });
  }
  addEventListener("beforeprint", () => document.querySelectorAll("main > section > details, section > details").forEach((d) => { d.open = true; }));
  Player.start();
})();
