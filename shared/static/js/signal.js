// Recorded signals: draws one or two recordings on one time line, however long, and measures between two cursors.
// The server has the least and the greatest value of any stretch at hand. The page asks for tiles: the whole in
// 1024 columns, its halves, quarters and so on, and draws the finest it has, so nothing flickers while it waits.
"use strict";

(() => {
  const COLUMNS = 1024;
  const MOST_TILES = 400;
  const FINEST = 40; // Halvings of the whole; a tile of single samples needs none below it.
  const BAND = 44; // Above the lanes: the dimension line between the cursors.
  const HEAD = 26;
  const FOOT = 50;
  const FEWEST_SAMPLES = 6; // In sight at the closest zoom.
  const PREFIXES = [[1e9, "G"], [1e6, "M"], [1e3, "k"], [1, ""], [1e-3, "m"], [1e-6, "\u00b5"], [1e-9, "n"]];
  const WEIGHTS = [1.5, 1.5, 2.25, 1];

  const clamp = (value, low, high) => Math.min(Math.max(value, low), high);
  const minus = (text) => text.replace("-", "\u2212");

  const quantity = (value, unit, digits = 4) => {
    if (!Number.isFinite(value)) return "no value";
    const plain = !unit || unit === "%" || unit.startsWith("\u00b0") || !value;
    const [factor, prefix] = plain ? [1, ""] : PREFIXES.find(([f]) => Math.abs(value) >= f * 0.9999) || [1, ""];
    return minus(`${Number((value / factor).toPrecision(digits))} ${prefix}${unit}`.trim());
  };

  const roundValues = (low, high, count) => {
    const raw = (high - low) / Math.max(count, 1);
    const power = 10 ** Math.floor(Math.log10(raw));
    const step = [1, 2, 5, 10].map((m) => m * power).find((one) => one >= raw * 0.999);
    const values = [];
    for (let k = Math.ceil(low / step - 1e-9); k <= Math.floor(high / step + 1e-9); k += 1) values.push(k * step);
    return [values, step];
  };

  // One recording, in tiles.
  class Source {
    constructor(about, changed) {
      Object.assign(this, about); // url, since, until, shift, samples
      this.changed = changed;
      this.tiles = new Map();
      this.asked = new Set();
    }

    get length() {
      return this.until - this.since;
    }

    level(span, pixels) {
      return clamp(Math.ceil(Math.log2(((this.length / span) * pixels) / COLUMNS)), 0, FINEST);
    }

    // The finest tile at hand for a stretch, and a request for the wanted one where it is missing.
    tile(level, place) {
      for (let up = 0; up <= level; up += 1) {
        const found = this.tiles.get(`${level - up}/${Math.floor(place / 2 ** up)}`);
        if (!found) continue;
        if (up > 0 && !found.isSamples) this.ask(level, place);
        found.used = performance.now();
        return found;
      }
      this.ask(level, place);
      return null;
    }

    async ask(level, place) {
      const key = `${level}/${place}`;
      if (this.asked.has(key) || place < 0 || place >= 2 ** level) return;
      this.asked.add(key);
      const width = this.length / 2 ** level;
      const from = this.since + place * width;
      try {
        const answer = await fetch(`${this.url}?from=${from}&to=${from + width}&width=${COLUMNS}`);
        if (!answer.ok) throw new Error(answer.status);
        this.keep(key, await answer.arrayBuffer());
        this.changed();
      } catch {
        setTimeout(() => this.asked.delete(key), 3000);
      }
    }

    keep(key, buffer) {
      const [isSamples, channels, count, since, until] = new Float64Array(buffer, 0, 6);
      this.tiles.set(key, { isSamples, channels, count, since, until, data: new Float32Array(buffer, 48), used: performance.now() });
      if (this.tiles.size <= MOST_TILES) return;
      const [old] = [...this.tiles].filter(([name]) => name !== "0/0").sort((a, b) => a[1].used - b[1].used)[0];
      this.tiles.delete(old);
      this.asked.delete(old);
    }

    // Calls draw(time, low, high) from left to right; NaN is a gap.
    each(channel, from, to, pixels, draw) {
      const level = this.level(to - from, pixels);
      const width = this.length / 2 ** level;
      const first = clamp(Math.floor((from - this.since) / width), 0, 2 ** level - 1);
      const last = clamp(Math.floor((to - this.since) / width), 0, 2 ** level - 1);
      let whole = true;
      for (let place = first; place <= last; place += 1) {
        const tile = this.tile(level, place);
        if (!tile) {
          whole = false;
          continue;
        }
        const start = Math.max(from, this.since + place * width);
        const end = Math.min(to, this.since + (place + 1) * width);
        if (tile.isSamples) Source.samples(tile, channel, start, end, draw);
        else Source.columns(tile, channel, start, end, draw);
      }
      return whole;
    }

    static columns({ count, since, until, data }, channel, from, to, draw) {
      const step = (until - since) / count;
      const first = clamp(Math.floor((from - since) / step + 1e-6), 0, count);
      const last = clamp(Math.ceil((to - since) / step - 1e-6), 0, count);
      for (let at = first, k = 2 * (channel * count + first); at < last; at += 1, k += 2) {
        draw(since + (at + 0.5) * step, data[k], data[k + 1], false);
      }
    }

    static samples({ count, since, data }, channel, from, to, draw) {
      const base = count * (channel + 1);
      let low = 0;
      let high = count;
      while (low < high) {
        const middle = (low + high) >> 1;
        if (data[middle] < from - since) low = middle + 1;
        else high = middle;
      }
      // One sample beyond either edge, so that the line reaches it.
      for (let at = Math.max(low - 1, 0); at < count; at += 1) {
        draw(since + data[at], data[base + at], data[base + at], true);
        if (data[at] > to - since) break;
      }
    }

    // What stands at a time, as well as the tiles at hand tell: least and greatest.
    at(channel, time, span, pixels) {
      if (time < this.since || time >= this.until) return [NaN, NaN];
      const before = [NaN, NaN, NaN];
      let found = null;
      const half = span / pixels / 2;
      const level = this.level(span, pixels);
      const tile = this.tile(level, Math.floor(((time - this.since) / this.length) * 2 ** level));
      if (!tile) return [NaN, NaN];
      const look = tile.isSamples ? Source.samples : Source.columns;
      look(tile, channel, time - half, time + half, (t, low, high) => {
        if (tile.isSamples) {
          if (t <= time) [before[0], before[1]] = [t, low];
          else if (found === null) found = t > before[0] ? before[1] + ((low - before[1]) * (time - before[0])) / (t - before[0]) : low;
        } else if (Math.abs(t - time) <= (tile.until - tile.since) / tile.count / 2 + 1e-15) [before[1], before[2]] = [low, high];
      });
      return tile.isSamples ? [found ?? before[1], found ?? before[1]] : [before[1], before[2]];
    }
  }

  // One line of ink. Columns of a pixel become upright bars that touch, which costs a tenth of a path of as many
  // strokes; single samples become a path.
  class Line {
    constructor(pen, ink, weight, scale) {
      Object.assign(this, { pen, weight, scale, pixel: NaN, isDown: false, points: 0 });
      pen.fillStyle = ink;
      pen.strokeStyle = ink;
      pen.lineWidth = weight;
      pen.lineJoin = "bevel";
      pen.beginPath();
    }

    point(x, y) {
      this.flush();
      if (this.isDown) this.pen.lineTo(x, y);
      else this.pen.moveTo(x, y);
      if (!this.isDown) this.pen.lineTo(x + 0.01, y);
      this.isDown = true;
    }

    // A column from top to bottom; those of one pixel become one bar.
    column(x, top, bottom) {
      const pixel = Math.floor(x * this.scale);
      if (pixel === this.pixel) {
        this.top = Math.min(this.top, top);
        this.bottom = Math.max(this.bottom, bottom);
        return;
      }
      this.flush();
      Object.assign(this, { pixel, top, bottom });
    }

    flush() {
      if (Number.isNaN(this.pixel)) return;
      let { top, bottom } = this;
      const [own, ownBottom] = [top, bottom];
      if (this.pixel - this.last <= 4) {
        // It reaches to the bar before, so that a steep line has no holes.
        if (top > this.lastBottom) top = this.lastBottom;
        if (bottom < this.lastTop) bottom = this.lastTop;
      }
      const from = this.pixel - this.last <= 4 ? this.last + 1 : this.pixel;
      const room = Math.max(this.weight - (bottom - top), 0) / 2;
      this.pen.fillRect(from / this.scale, top - room, (this.pixel + 1 - from) / this.scale, bottom - top + 2 * room);
      Object.assign(this, { last: this.pixel, lastTop: own, lastBottom: ownBottom, pixel: NaN });
    }

    lift() {
      this.flush();
      this.last = NaN;
      this.isDown = false;
    }

    end() {
      this.flush();
      this.pen.stroke();
    }
  }

  class Drawing {
    constructor(figure) {
      const about = JSON.parse(document.getElementById(figure.dataset.signal).textContent);
      this.figure = figure;
      this.place = figure.querySelector(".signal-place");
      this.canvas = figure.querySelector("canvas");
      this.pen = this.canvas.getContext("2d");
      this.sources = about.sources.map((one) => new Source(one, () => this.ask()));
      this.lanes = about.lanes.map((lane) => ({ ...lane, isShown: true }));
      this.since = Math.min(...this.sources.map((one) => one.since + one.shift));
      this.until = Math.max(...this.sources.map((one) => one.until + one.shift));
      this.closest = Math.min(...this.sources.map((one) => (one.length / one.samples) * FEWEST_SAMPLES));
      [this.from, this.to] = [this.since, this.until];
      this.cursors = [1, 2].map((n) => this.from + ((this.to - this.from) * n) / 3);
      this.handles = [...figure.querySelectorAll("[data-cursor]")];
      this.readouts = document.getElementById(figure.dataset.readouts);
      this.isReady = false;
      figure.dataset.live = "";
      this.listen();
      this.lookAtColours();
      this.resize();
    }

    get span() {
      return this.to - this.from;
    }

    get shown() {
      return this.lanes.filter((lane) => lane.isShown);
    }

    // --- what is in sight ---------------------------------------------------------------------------

    show(from, to) {
      const whole = this.until - this.since;
      const span = clamp(to - from, Math.min(this.closest, whole), whole);
      const start = clamp(from, this.since, this.until - span);
      [this.from, this.to] = [start, start + span];
      this.ask();
    }

    pan(share) {
      this.show(this.from + this.span * share, this.to + this.span * share);
    }

    zoom(factor, at = (this.from + this.to) / 2) {
      const whole = this.until - this.since;
      const span = clamp(this.span * factor, Math.min(this.closest, whole), whole);
      const share = (at - this.from) / this.span;
      this.show(at - span * share, at + span * (1 - share));
    }

    setCursor(which, time) {
      this.cursors[which] = clamp(time, this.since, this.until);
      this.ask();
    }

    bringCursors() {
      this.cursors = [1, 2].map((n) => this.from + (this.span * n) / 3);
      this.ask();
    }

    x(time) {
      return ((time - this.from) / this.span) * this.width;
    }

    time(x) {
      return this.from + (x / this.width) * this.span;
    }

    // --- drawing ------------------------------------------------------------------------------------

    ask() {
      if (this.asked) return;
      this.asked = requestAnimationFrame(() => {
        this.asked = 0;
        this.draw();
      });
    }

    lookAtColours() {
      const style = getComputedStyle(document.documentElement);
      this.ink = Object.fromEntries(["ground", "ink", "ink-2", "line", "rule", "blue", "lead"].map((name) => [name, style.getPropertyValue(`--${name}`).trim()]));
      this.font = getComputedStyle(this.figure).fontFamily;
    }

    resize() {
      this.width = this.place.clientWidth;
      this.lane = 120;
      this.height = BAND + this.shown.length * (HEAD + this.lane) + FOOT;
      this.scale = window.devicePixelRatio || 1;
      this.canvas.width = Math.round(this.width * this.scale);
      this.canvas.height = Math.round(this.height * this.scale);
      this.canvas.style.height = `${this.height}px`;
      this.draw();
    }

    draw() {
      if (!this.width) return;
      const { pen } = this;
      pen.setTransform(this.scale, 0, 0, this.scale, 0, 0);
      pen.clearRect(0, 0, this.width, this.height);
      this.foot();
      let whole = true;
      this.shown.forEach((lane, place) => {
        whole = this.drawLane(lane, BAND + place * (HEAD + this.lane) + HEAD) && whole;
      });
      this.drawCursors();
      this.readOut();
      if (whole && !this.isReady) {
        this.isReady = true;
        this.figure.dataset.ready = "";
      }
    }

    write(text, x, y, align = "start", ink = "ink", weight = 400) {
      const { pen } = this;
      pen.font = `${weight} 15px ${this.font}`;
      pen.textAlign = align;
      pen.lineWidth = 5;
      pen.lineJoin = "round";
      pen.strokeStyle = this.ink.ground;
      pen.strokeText(text, x, y);
      pen.fillStyle = this.ink[ink];
      pen.fillText(text, x, y);
    }

    rule(x1, y1, x2, y2, ink, weight = 1) {
      const { pen } = this;
      pen.strokeStyle = this.ink[ink];
      pen.lineWidth = weight;
      pen.beginPath();
      pen.moveTo(x1, y1);
      pen.lineTo(x2, y2);
      pen.stroke();
    }

    drawLane(lane, top) {
      const { pen } = this;
      const y = (value) => top + (1 - (value - lane.start) / (lane.end - lane.start)) * this.lane;
      for (const [tick] of lane.ticks) this.rule(0, Math.round(y(tick)) + 0.5, this.width, Math.round(y(tick)) + 0.5, "rule");
      pen.save();
      pen.beginPath();
      pen.rect(0, top - 4, this.width, this.lane + 8);
      pen.clip();
      let whole = true;
      for (const trace of lane.traces) whole = this.drawTrace(trace, y) && whole;
      pen.restore();
      for (const [tick, text] of lane.ticks) this.write(text, this.width, y(tick) - 4, "end", "ink-2");
      this.write(lane.letter, 0, top - 8, "start", "ink", 700);
      this.write(lane.label, 18, top - 8);
      return whole;
    }

    drawTrace(trace, y) {
      const source = this.sources[trace.source];
      const line = new Line(this.pen, this.ink[trace.ink], WEIGHTS[trace.style % 4], this.scale);
      const marks = [];
      const every = this.markEvery();
      let next = (Math.floor(this.from / every) + (trace.style % 4) / 4) * every;
      const k = this.width / this.span;
      const whole = source.each(trace.channel, this.from - source.shift, this.to - source.shift, this.width * this.scale, (t, low, high, isSample) => {
        const time = t + source.shift;
        const x = (time - this.from) * k;
        if (Number.isNaN(low)) line.lift();
        else if (isSample) line.point(x, y(low));
        else line.column(x, y(high), y(low));
        if (time < next) return;
        if (trace.mark && low === low) marks.push([x, y((low + high) / 2)]);
        while (next <= time) next += every;
      });
      line.end();
      for (const [x, at] of marks) this.mark(trace.mark, x, at, trace.ink);
      return whole;
    }

    // Marks stand at fixed times, so that they move with the line.
    markEvery() {
      const wanted = (this.span / this.width) * 110;
      return 2 ** Math.round(Math.log2(wanted));
    }

    mark(shape, x, y, ink) {
      const { pen } = this;
      pen.beginPath();
      if (shape === "ring") pen.arc(x, y, 4, 0, 7);
      else if (shape === "box") pen.rect(x - 4, y - 4, 8, 8);
      else {
        pen.moveTo(x - 4.5, y + 4);
        pen.lineTo(x + 4.5, y + 4);
        pen.lineTo(x, y - 4.5);
        pen.closePath();
      }
      pen.fillStyle = this.ink.ground;
      pen.fill();
      pen.strokeStyle = this.ink[ink];
      pen.lineWidth = 1.5;
      pen.stroke();
    }

    // The time line, and below it which part of the whole is in sight.
    foot() {
      const top = this.height - FOOT;
      this.rule(0, top + 0.5, this.width, top + 0.5, "ink", 1.5);
      const [ticks, step] = roundValues(this.from, this.to, Math.max(Math.floor(this.width / 160), 2));
      const [factor, prefix] = PREFIXES.find(([f]) => Math.max(Math.abs(this.from), Math.abs(this.to)) >= f * 0.9999) || PREFIXES[6];
      const digits = clamp(-Math.floor(Math.log10(step / factor) + 1e-9), 0, 12);
      ticks.forEach((tick, place) => {
        const x = this.x(tick);
        this.rule(x, top, x, top + 6, "ink", 1.5);
        const unit = place === ticks.length - 1 ? ` ${prefix}s` : "";
        const align = x < 30 ? "start" : x > this.width - 60 ? "end" : "center";
        this.write(minus((tick / factor).toFixed(digits)) + unit, x, top + 22, align);
      });
      const whole = this.until - this.since;
      const a = ((this.from - this.since) / whole) * this.width;
      const b = ((this.to - this.since) / whole) * this.width;
      this.rule(0, top + 38.5, this.width, top + 38.5, "line");
      this.rule(a, top + 38.5, Math.max(b, a + 3), top + 38.5, "ink", 5);
    }

    drawCursors() {
      const bottom = this.height - FOOT;
      const xs = this.cursors.map((time) => this.x(time));
      xs.forEach((x, which) => {
        const handle = this.handles[which];
        const isIn = x >= 0 && x <= this.width;
        if (isIn) {
          this.rule(Math.round(x) + 0.5, 22, Math.round(x) + 0.5, bottom, "blue", 1.5);
        }
        handle.style.left = `${clamp(x, 0, this.width)}px`;
        handle.dataset.away = isIn ? "" : x < 0 ? "before" : "after";
      });
      this.dimension(...xs.map((x) => clamp(x, 0, this.width)).sort((a, b) => a - b));
    }

    // The stretch between the cursors as a dimension line, as on a drawing.
    dimension(a, b) {
      const { pen } = this;
      const y = 33;
      if (b - a < 2) return;
      const text = quantity(Math.abs(this.cursors[1] - this.cursors[0]), "s");
      pen.font = `600 15px ${this.font}`;
      const room = pen.measureText(text).width + 16;
      this.rule(a, y, b, y, "blue");
      pen.fillStyle = this.ink.blue;
      for (const [x, turn] of [[a, 1], [b, -1]]) {
        pen.beginPath();
        pen.moveTo(x, y);
        pen.lineTo(x + 9 * turn, y - 3.5);
        pen.lineTo(x + 9 * turn, y + 3.5);
        pen.fill();
      }
      const isWide = b - a > room + 24;
      const x = isWide ? (a + b) / 2 : b + 12 + room > this.width ? a - 12 : b + 12;
      const align = isWide ? "center" : b + 12 + room > this.width ? "end" : "start";
      this.write(text, x, y + 5, align, "blue", 600);
    }

    // --- numbers ------------------------------------------------------------------------------------

    readOut() {
      const [one, two] = this.cursors;
      const apart = two - one;
      const pixels = this.width * this.scale;
      const set = (name, text) => {
        const cell = this.readouts.querySelector(`[data-out="${name}"]`);
        if (cell && cell.textContent !== text) cell.textContent = text;
      };
      set("one", quantity(one, "s", 7));
      set("two", quantity(two, "s", 7));
      set("apart", quantity(apart, "s", 5));
      set("rate", apart ? quantity(1 / Math.abs(apart), "Hz", 5) : "no rate");
      const said = [];
      for (const lane of this.lanes) {
        lane.traces.forEach((trace) => {
          const source = this.sources[trace.source];
          const values = this.cursors.map((time) => source.at(trace.channel, time - source.shift, this.span, pixels));
          const name = `${lane.letter}${trace.key}`;
          values.forEach(([low, high], which) => set(`${name}-${which}`, Drawing.range(low, high, lane.unit)));
          const middles = values.map(([low, high]) => (low + high) / 2);
          const difference = middles[1] - middles[0];
          set(`${name}-d`, quantity(difference, lane.unit));
          if (lane.isShown) said.push(`${lane.letter} ${trace.name || ""} ${values.map(([low, high]) => Drawing.range(low, high, lane.unit)).join(" and ")}`);
        });
      }
      this.tell([one, two, this.from, this.to], said);
    }

    static range(low, high, unit) {
      if (Number.isNaN(low)) return "no value";
      const [a, b] = [quantity(low, unit), quantity(high, unit)];
      return a === b ? a : `${a} to ${b}`;
    }

    // For a screen reader, once the hand rests.
    tell([one, two, from, to], said) {
      const key = `${one} ${two} ${from} ${to}`;
      this.handles.forEach((handle, which) => {
        handle.setAttribute("aria-valuemin", this.since);
        handle.setAttribute("aria-valuemax", this.until);
        handle.setAttribute("aria-valuenow", this.cursors[which]);
        handle.setAttribute("aria-valuetext", quantity(this.cursors[which], "s", 6));
      });
      if (key === this.told) return;
      const isFirst = this.told === undefined;
      this.told = key;
      clearTimeout(this.pause);
      if (isFirst) return;
      this.pause = setTimeout(() => {
        const live = this.figure.querySelector("[role=status]");
        live.textContent = `In sight ${quantity(from, "s")} to ${quantity(to, "s")}. Cursors ${quantity(Math.abs(two - one), "s")} apart. ${said.join(". ")}.`;
      }, 600);
    }

    // --- hands --------------------------------------------------------------------------------------

    listen() {
      new ResizeObserver(() => {
        if (this.place.clientWidth !== this.width) this.resize();
      }).observe(this.place);
      window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => {
        this.lookAtColours();
        this.ask();
      });
      document.fonts?.ready.then(() => this.ask());
      this.place.addEventListener("keydown", (event) => this.key(event));
      this.place.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
      this.listenToPointers();
      this.handles.forEach((handle, which) => this.listenToHandle(handle, which));
      const acts = {
        earlier: () => this.pan(-0.5),
        later: () => this.pan(0.5),
        closer: () => this.zoom(0.5),
        wider: () => this.zoom(2),
        whole: () => this.show(this.since, this.until),
        cursors: () => this.bringCursors(),
      };
      for (const button of this.figure.querySelectorAll("[data-act]")) button.addEventListener("click", acts[button.dataset.act]);
      for (const box of this.figure.querySelectorAll("[data-lane]")) {
        box.addEventListener("change", () => {
          this.lanes[Number(box.dataset.lane)].isShown = box.checked;
          this.resize();
        });
      }
      const shift = this.figure.querySelector("[data-shift]");
      shift?.addEventListener("input", () => {
        if (!Number.isFinite(shift.valueAsNumber)) return;
        this.sources[1].shift = this.sources[1].start + shift.valueAsNumber / 1000;
        this.ask();
      });
    }

    key(event) {
      if (event.target !== this.place || event.ctrlKey || event.metaKey || event.altKey) return;
      const far = event.shiftKey ? 0.5 : 0.1;
      const acts = {
        ArrowLeft: () => this.pan(-far),
        ArrowRight: () => this.pan(far),
        "+": () => this.zoom(0.5),
        "=": () => this.zoom(0.5),
        "-": () => this.zoom(2),
        Home: () => this.show(this.since, this.until),
        1: () => this.setCursor(0, (this.from + this.to) / 2),
        2: () => this.setCursor(1, (this.from + this.to) / 2),
      };
      if (!acts[event.key]) return;
      event.preventDefault();
      acts[event.key]();
    }

    // The wheel scrolls the page until the drawing has the focus.
    wheel(event) {
      if (!event.ctrlKey && !this.place.contains(document.activeElement)) return;
      event.preventDefault();
      if (event.shiftKey || Math.abs(event.deltaX) > Math.abs(event.deltaY)) this.pan((event.deltaX || event.deltaY) / this.width);
      else this.zoom(2 ** clamp(event.deltaY / 200, -1, 1), this.time(event.clientX - this.place.getBoundingClientRect().left));
    }

    listenToPointers() {
      const down = new Map();
      const left = () => this.canvas.getBoundingClientRect().left;
      this.canvas.addEventListener("pointerdown", (event) => {
        if (event.button) return;
        this.canvas.setPointerCapture(event.pointerId);
        down.set(event.pointerId, event.clientX);
        this.place.focus({ preventScroll: true });
      });
      this.canvas.addEventListener("pointermove", (event) => {
        if (!down.has(event.pointerId)) return;
        const was = [...down.values()];
        down.set(event.pointerId, event.clientX);
        const now = [...down.values()];
        if (now.length === 1) this.pan((was[0] - now[0]) / this.width);
        else if (now.length === 2) this.pinch(was, now, left());
      });
      for (const name of ["pointerup", "pointercancel"]) this.canvas.addEventListener(name, (event) => down.delete(event.pointerId));
    }

    // What was under each finger stays under it.
    pinch(was, now, left) {
      const [a, b] = was.map((x) => this.time(x - left));
      const [p, q] = now.map((x) => (x - left) / this.width);
      if (Math.abs(q - p) < 0.02) return;
      const span = Math.abs((b - a) / (q - p));
      this.show(a - span * p, a - span * p + span);
    }

    listenToHandle(handle, which) {
      handle.addEventListener("pointerdown", (event) => {
        handle.setPointerCapture(event.pointerId);
        handle.focus({ preventScroll: true });
        event.preventDefault();
      });
      handle.addEventListener("pointermove", (event) => {
        if (handle.hasPointerCapture(event.pointerId)) this.setCursor(which, this.time(clamp(event.clientX - this.place.getBoundingClientRect().left, 0, this.width)));
      });
      handle.addEventListener("keydown", (event) => {
        const pixel = this.span / this.width;
        const steps = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -50, PageUp: 50 };
        const ends = { Home: this.from, End: this.to };
        if (event.key in steps) this.setCursor(which, this.cursors[which] + steps[event.key] * pixel * (event.shiftKey ? 10 : 1));
        else if (event.key in ends) this.setCursor(which, ends[event.key]);
        else return;
        event.preventDefault();
      });
    }
  }

  // A recording that is being read: look again until it is, then show it.
  const wait = async (box) => {
    try {
      const answer = await fetch(box.dataset.waiting);
      const state = await answer.json();
      if (state.status !== "waiting" || state.failed) {
        location.reload();
        return;
      }
      const bar = box.querySelector("progress");
      if (bar && state.share !== null) bar.value = state.share;
    } catch {
      // No connection: look again later.
    }
    setTimeout(() => wait(box), 1500);
  };

  for (const figure of document.querySelectorAll("[data-signal]")) figure.drawing = new Drawing(figure);
  for (const box of document.querySelectorAll("[data-waiting]")) setTimeout(() => wait(box), 1000);

  // A file that is too large is named before it is sent.
  for (const input of document.querySelectorAll("input[type=file][data-most]")) {
    input.addEventListener("change", () => {
      const file = input.files[0];
      const most = Number(input.dataset.most);
      const isLarge = file && file.size > most;
      input.setCustomValidity("");
      input.parentElement.querySelector(".bad.large")?.remove();
      if (!isLarge) return;
      const said = document.createElement("p");
      said.className = "bad large";
      said.setAttribute("role", "alert");
      said.textContent = `This file has ${Math.ceil(file.size / 1e6)} MB; ${Math.floor(most / 1e6)} MB are allowed. Save a shorter stretch, or fewer samples a second.`;
      input.after(said);
    });
  }
})();
