"use strict";
/* Motion player: unpacks the frames, draws them, keeps the time that all views share. */
const Player = (() => {
  const data = JSON.parse(document.getElementById("data-motion").textContent);
  const el = (id) => document.getElementById(id);
  const blue = "#0072B2", red = "#D55E00", green = "#007A58", purple = "#8a3d6d";
  const sides = [], listeners = [];
  let stretch = -1, place = 0, timer = 0, factor = 1;

  async function bytes(text) {
    const raw = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
    const stream = new Blob([raw]).stream().pipeThrough(new DecompressionStream("gzip"));
    return new Response(stream).arrayBuffer();
  }
  async function unpack(packed) {
    const view = new DataView(await bytes(packed.data)), count = data.times.length;
    const out = {};
    let first = 0;
    for (const [name, width, scale] of packed.parts) {
      const own = new Float32Array(count * width);
      for (let i = 0; i < own.length; i++) own[i] = view.getInt16(2 * (first + i), true) * scale;
      out[name] = own; first += own.length;
    }
    return out;
  }
  const frames = () => (stretch < 0 ? data.overview : data.stretches[stretch]);
  const now = () => frames()[place];

  /* Largest force since the frame before in this stretch: nothing between two frames is lost. */
  function largest(array, width, offset) {
    const list = frames(), last = list[place], from = place ? list[place - 1] + 1 : last;
    let most = 0;
    for (let f = from; f <= last; f++) most = Math.max(most, array[f * width + offset]);
    return most;
  }
  function land(frame, side, k) {
    const list = frames(), last = list[place], from = place ? list[place - 1] + 1 : last;
    let best = [0, 0], most = 0;
    for (let f = from; f <= last; f++) {
      const x = side.f.land[f * 4 + 2 * k], y = side.f.land[f * 4 + 2 * k + 1];
      if (Math.hypot(x, y) > most) { most = Math.hypot(x, y); best = [x, y]; }
    }
    return best;
  }
  function arrow(g, x, y, dx, dy, colour) {
    const size = Math.hypot(dx, dy);
    if (size < 0.6) return;
    const head = Math.min(3.4, 0.5 * size), ux = dx / size, uy = dy / size;
    g.strokeStyle = g.fillStyle = colour; g.lineWidth = 1.1;
    g.beginPath(); g.moveTo(x, y); g.lineTo(x + dx - ux * head, y + dy - uy * head); g.stroke();
    g.beginPath(); g.moveTo(x + dx, y + dy);
    g.lineTo(x + dx - ux * head - uy * head * .5, y + dy - uy * head + ux * head * .5);
    g.lineTo(x + dx - ux * head + uy * head * .5, y + dy - uy * head - ux * head * .5);
    g.fill();
  }
  const ring = (g, x, y, r, colour, fill) => {
    g.beginPath(); g.arc(x, y, r, 0, 2 * Math.PI);
    if (fill) { g.fillStyle = fill; g.fill(); }
    if (colour) { g.strokeStyle = colour; g.stroke(); }
  };
  /* Lengths in mm, y upwards. Gaps and motions within them are multiplied by the factor. */
  function draw(side) {
    const g = side.canvas.getContext("2d"), size = side.canvas.width, s = side.shapes, k = now();
    g.setTransform(1, 0, 0, 1, 0, 0);
    g.fillStyle = "#fff"; g.fillRect(0, 0, size, size);
    if (side.f.valid[k] < 0.5) {
      g.fillStyle = "#000"; g.font = "24px sans-serif";
      g.fillText("This run has ended before this time.", 40, size / 2);
      side.words.textContent = "This run has ended before this time.";
      return;
    }
    const um = 1e-3 * factor, impact = stretch < 0 ? null : data.impacts[stretch];
    const near = el("zoom").value === "1" && impact;
    let scale = size / (2.06 * s.outer), cx = 0, cy = 0;
    if (near) {
      const angle = impact.azimuth * Math.PI / 180;
      scale *= 3; cx = s.pitch * Math.cos(angle); cy = s.pitch * Math.sin(angle);
    }
    g.setTransform(scale, 0, 0, -scale, size / 2 - scale * cx, size / 2 + scale * cy);
    g.lineWidth = 1.2 / scale; g.lineJoin = "round";
    const rOut = s.pitch + s.roller + s.gap * factor, rIn = s.pitch - s.roller - s.gap * factor;
    const ix = side.f.inner[2 * k] * um, iy = side.f.inner[2 * k + 1] * um;
    const kx = side.f.cage[2 * k] * um, ky = side.f.cage[2 * k + 1] * um;
    ring(g, 0, 0, s.outer, "#333", "#d9d9d9"); ring(g, 0, 0, rOut, "#333", "#fff");
    if (s.guidance === "outer_ring") {
      g.setLineDash([2, 1.6]); ring(g, 0, 0, s.cage_out + s.land_gap * factor, "#555"); g.setLineDash([]);
    }
    ring(g, ix, iy, rIn, "#333", "#d9d9d9"); ring(g, ix, iy, s.inner, "#333", "#fff");
    if (s.guidance === "inner_ring") {
      g.setLineDash([2, 1.6]); ring(g, ix, iy, s.cage_in - s.land_gap * factor, "#555"); g.setLineDash([]);
    }
    const turn = side.f.inner_angle[k];
    g.beginPath(); g.moveTo(ix + s.inner * Math.cos(turn), iy + s.inner * Math.sin(turn));
    g.lineTo(ix + rIn * Math.cos(turn), iy + rIn * Math.sin(turn)); g.stroke();
    const angle = side.f.cage_angle[k], n = s.count, step = 2 * Math.PI / n;
    const half = (j) => s.roller + (s.pocket_gap + s.extra[j]) * factor;
    const corner = (j, sign, r) => {
      const a = angle + j * step, t = sign * half(j) + s.shift[j] * factor;
      const out = Math.sqrt(Math.max(0, r * r - t * t));
      return [kx + out * Math.cos(a) - t * Math.sin(a), ky + out * Math.sin(a) + t * Math.cos(a)];
    };
    g.fillStyle = "#e8c77a"; g.strokeStyle = "#5d4300";
    for (let j = 0; j < n; j++) {
      const next = (j + 1) % n;
      const corners = [corner(j, 1, s.cage_in), corner(j, 1, s.cage_out), corner(next, -1, s.cage_out), corner(next, -1, s.cage_in)];
      g.beginPath(); corners.forEach(([x, y], i) => (i ? g.lineTo(x, y) : g.moveTo(x, y)));
      g.closePath(); g.fill(); g.stroke();
    }
    g.strokeStyle = "#a87c1d"; ring(g, kx, ky, s.cage_out, "#a87c1d"); ring(g, kx, ky, s.cage_in, "#a87c1d");
    const spots = [];
    for (let j = 0; j < n; j++) {
      const a = angle + j * step, c = Math.cos(a), q = Math.sin(a);
      const r = s.pitch + side.f.roller[(k * n + j) * 2] * um, t = side.f.roller[(k * n + j) * 2 + 1] * um;
      const x = r * c - t * q, y = r * q + t * c;
      spots.push([x, y, c, q]);
      g.lineWidth = 1.2 / scale;
      ring(g, x, y, s.roller, impact && impact.roller === j + 1 ? "#000" : "#333", impact && impact.roller === j + 1 ? "#7db7de" : "#cfe3f1");
    }
    g.save(); g.scale(1, -1); g.fillStyle = "#333"; g.textAlign = "center"; g.font = `${0.62 * s.roller}px sans-serif`;
    spots.forEach(([x, y], j) => g.fillText(String(j + 1), x, -y + 0.22 * s.roller)); g.restore();
    const race = 0.9 * s.roller / data.raceway, cage = 1.6 * s.roller / data.cage;
    let top = 0, who = "", whole = 0;
    spots.forEach(([x, y, c, q], j) => {
      const phi = Math.atan2(y, x), e = [Math.cos(phi), Math.sin(phi)];
      const o = largest(side.f.raceway, 2 * n, 2 * j), i = largest(side.f.raceway, 2 * n, 2 * j + 1);
      arrow(g, x + e[0] * s.roller, y + e[1] * s.roller, -e[0] * o * race, -e[1] * o * race, green);
      arrow(g, x - e[0] * s.roller, y - e[1] * s.roller, e[0] * i * race, e[1] * i * race, green);
      ["leading", "trailing", "base", "cover"].forEach((name, face) => {
        const force = largest(side.f.pocket, 4 * n, 4 * j + face);
        if (force > top) { top = force; who = `roller ${j + 1}, ${name} face`; }
        if (face > 1) { if (force * cage > 0.6) { g.lineWidth = .9; ring(g, x, y, Math.min(s.roller, 0.15 * s.roller + force * cage * .4), purple); } return; }
        const sign = face ? -1 : 1;
        arrow(g, x - q * sign * s.roller, y + c * sign * s.roller, -q * sign * force * cage, c * sign * force * cage, red);
      });
    });
    for (let b = 0; b < 2; b++) {
      const [x, y] = land(k, side, b), force = Math.hypot(x, y);
      whole = Math.max(whole, force);
      if (force > 0) {
        const away = s.guidance === "inner_ring" ? 1 : -1, r = s.guidance === "inner_ring" ? s.cage_in : s.cage_out;
        arrow(g, kx + away * r * x / force, ky + away * r * y / force, x * cage, y * cage, blue);
      }
    }
    const ecc = s.land_gap ? (() => {
      const dx = side.f.cage[2 * k] - (s.guidance === "inner_ring" ? side.f.inner[2 * k] : 0);
      const dy = side.f.cage[2 * k + 1] - (s.guidance === "inner_ring" ? side.f.inner[2 * k + 1] : 0);
      return `; cage at ${(1e-3 * Math.hypot(dx, dy) / s.land_gap).toFixed(2)} of its clearance`;
    })() : "";
    side.words.textContent = `Greatest pocket force ${top.toFixed(0)} N${who ? " (" + who + ")" : ""}; land ${whole.toFixed(0)} N${ecc}.`;
    legend(g, size);
  }
  function legend(g, size) {
    g.setTransform(1, 0, 0, 1, 0, 0); g.font = `${size / 38}px sans-serif`; g.textAlign = "left";
    const bar = (v, radii) => `${num(v)} N: ${radii} roller radii`;
    const rows = [[green, `raceway, ${bar(data.raceway, 0.9)}`], [red, `pocket, ${bar(data.cage, 1.6)}`], [blue, "land, as pockets"], [purple, "ring: cover or base"]];
    const line = size / 32;
    g.fillStyle = "rgba(255,255,255,.85)"; g.fillRect(size * .3, size * .425, size * .42, line * 4.3);
    rows.forEach(([colour, words], i) => { g.fillStyle = colour; g.fillRect(size * .305, size * .43 + i * line + line * .24, 14, 6); g.fillStyle = "#222"; g.fillText(words, size * .335, size * .43 + i * line + line * .6); });
  }
  const num = (v) => Number(v.toPrecision(2)).toString();

  /* As large as it is shown, so that its words can be read on a narrow screen too. */
  const left = 52, right = 14;
  function strip() {
    const canvas = el("strip"), g = canvas.getContext("2d"), w = canvas.clientWidth || 700, h = canvas.clientHeight || 90;
    const dots = Math.max(2, window.devicePixelRatio || 1);
    canvas.width = dots * w; canvas.height = dots * h; g.scale(dots, dots);
    const list = frames(), t0 = data.times[list[0]], t1 = data.times[list[list.length - 1]];
    const x = (t) => left + (w - left - right) * (t - t0) / (t1 - t0 || 1);
    g.font = "12px sans-serif";
    let most = 1;
    const rows = sides.map((side) => {
      const row = [];
      list.forEach((f, i) => {
        let value = 0;
        for (let one = i ? list[i - 1] + 1 : f; one <= f; one++) value = Math.max(value, side.greatest[one]);
        row.push([data.times[f], value]); most = Math.max(most, value);
      });
      return row;
    });
    g.fillStyle = "#333"; g.textAlign = "right"; g.fillText(`${num(most)} N`, left - 6, 16); g.fillText("0", left - 6, h - 18);
    g.fillText(`${t1.toFixed(4)} s`, w - right, h - 4); g.textAlign = "left"; g.fillText(`${t0.toFixed(4)} s`, left, h - 4);
    rows.forEach((row, i) => {
      g.strokeStyle = [blue, "#B34700"][i]; g.lineWidth = 1.3; g.setLineDash(i ? [6, 3] : []); g.beginPath();
      row.forEach(([t, v], j) => { const y = h - 20 - (h - 32) * v / most; j ? g.lineTo(x(t), y) : g.moveTo(x(t), y); }); g.stroke();
    });
    g.setLineDash([]); g.strokeStyle = "#000"; g.lineWidth = 1.3;
    const here = x(data.times[now()]); g.beginPath(); g.moveTo(here, 4); g.lineTo(here, h - 18); g.stroke();
  }
  function show() {
    const list = frames(), t = data.times[now()], speed = Number(el("speed").value);
    el("scrub").max = list.length - 1; el("scrub").value = place;
    el("scrub").setAttribute("aria-valuetext", `${t.toFixed(5)} seconds`);
    const slow = (data.times[list[list.length - 1]] - data.times[list[0]]) / Math.max(1, list.length - 1) * speed;
    el("clock").textContent = `${t.toFixed(5)} s, frame ${place + 1} of ${list.length}; playing shows one second in ${num(1 / slow)} s`;
    sides.forEach(draw); strip();
    listeners.forEach((tell) => tell(t, stretch));
  }
  function go(where, at) {
    stretch = where; const list = frames();
    place = Math.max(0, Math.min(list.length - 1, at)); el("stretch").value = String(where); show();
  }
  function nearest(list, t) {
    let best = 0;
    list.forEach((f, i) => { if (Math.abs(data.times[f] - t) < Math.abs(data.times[list[best]] - t)) best = i; });
    return best;
  }
  function seek(t) {
    const list = frames();
    const inside = stretch >= 0 && t >= data.times[list[0]] && t <= data.times[list[list.length - 1]];
    go(inside ? stretch : -1, nearest(inside ? list : data.overview, t));
  }
  function impact(number) { stop(); go(number, nearest(data.stretches[number], data.impacts[number].time)); }
  function stop() { clearInterval(timer); timer = 0; el("play").textContent = "Play"; el("play").setAttribute("aria-pressed", "false"); el("clock").setAttribute("aria-live", "polite"); }
  function play() {
    if (timer) return stop();
    el("play").textContent = "Stop"; el("play").setAttribute("aria-pressed", "true"); el("clock").setAttribute("aria-live", "off");
    timer = setInterval(() => { place = (place + 1) % frames().length; show(); }, 1000 / Number(el("speed").value));
  }
  const step = (by) => { stop(); go(stretch, (place + by + frames().length) % frames().length); };

  async function start() {
    if (!("DecompressionStream" in window)) { el("clock").textContent = "This browser is too old for the player and the CSV links; everything else works."; return; }
    for (const canvas of document.querySelectorAll("canvas[data-side]")) {
      const own = data.sides[Number(canvas.dataset.side)], f = await unpack(own.frames);
      const greatest = data.times.map((_, k) => {
        const n = own.shapes.count; let most = 0;
        for (let i = 0; i < 4 * n; i++) most = Math.max(most, f.pocket[k * 4 * n + i]);
        for (let i = 0; i < 2; i++) most = Math.max(most, Math.hypot(f.land[k * 4 + 2 * i], f.land[k * 4 + 2 * i + 1]));
        return most;
      });
      sides.push({ canvas, f, greatest, shapes: own.shapes, words: canvas.parentElement.querySelector(".now") });
    }
    factor = Math.min(...sides.map((s) => s.shapes.exaggeration));
    for (const v of [...new Set([1, 2, 5, factor])].sort((a, b) => a - b).filter((v) => v <= factor)) el("exaggerate").add(new Option(String(v), String(v), v === factor, v === factor));
    el("stretch").add(new Option("whole run", "-1"));
    data.impacts.forEach((one, i) => el("stretch").add(new Option(`contact ${i + 1} (${one.side}, ${one.peak.toFixed(0)} N)`, String(i))));
    el("play").onclick = play; el("back").onclick = () => step(-1); el("forward").onclick = () => step(1);
    el("scrub").oninput = () => { stop(); go(stretch, Number(el("scrub").value)); };
    el("stretch").onchange = () => { const v = Number(el("stretch").value); v < 0 ? (stop(), go(-1, 0)) : impact(v); };
    el("speed").onchange = () => { if (timer) { stop(); play(); } show(); };
    el("zoom").onchange = show;
    el("exaggerate").onchange = () => { factor = Number(el("exaggerate").value); el("factor").textContent = String(factor); show(); };
    el("factor").textContent = String(factor);
    el("strip").onclick = (e) => {
      const list = frames(), t0 = data.times[list[0]], t1 = data.times[list[list.length - 1]], box = el("strip").getBoundingClientRect();
      stop(); go(stretch, nearest(list, t0 + (e.clientX - box.left - left) / (box.width - left - right) * (t1 - t0)));
    };
    addEventListener("resize", strip);
    el("player").addEventListener("keydown", (e) => {
      const typing = e.target.tagName === "SELECT" || e.target.tagName === "INPUT", button = e.target.tagName === "BUTTON";
      if (e.key === " " && !button && e.target.tagName !== "SELECT") play();
      else if (e.key === "ArrowLeft" && !typing) step(-1);
      else if (e.key === "ArrowRight" && !typing) step(1);
      else if (e.key === "ArrowUp" && !typing && data.impacts.length) impact(Math.max(0, stretch - 1));
      else if (e.key === "ArrowDown" && !typing && data.impacts.length) impact(Math.min(data.impacts.length - 1, stretch + 1));
      else if (e.key === "Home" && !typing) go(-1, 0);
      else return;
      e.preventDefault();
    });
    if (data.impacts.length) impact(0); else go(-1, 0);
  }
  return { start, seek, impact, bytes, state: () => ({ stretch, place, time: data.times[now()], playing: Boolean(timer) }), onTime: (tell) => listeners.push(tell) };
})();
