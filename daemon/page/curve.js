// The live curve: readings of the last minutes, where the run's periods begin, and in the after
// period the two lines that meet at the equal-area time.

import { make, setText } from "./dom.js";
import { number, t, temperature } from "./texts.js";
import { mixingOf } from "./timed.js";

const roles = ["cup", "added", "room"];
const spans_min = [5, 15, 60, 480, 1440];
const most_shown = 4000; // points of one probe
const shortest_us = 3 * 60e6; // that is shown
const hole_us = 10e6; // without readings: nothing is drawn across

/** Every n-th reading, so that no more are drawn than the eye can tell apart. */
function thinned(series, from_us) {
  const begin = series.from(from_us);
  const step = Math.max(1, Math.ceil((series.length - begin) / most_shown));
  const rows = [];
  for (let i = begin; i < series.length; i += step) {
    const hole = i > begin && series.time_us[i] - series.time_us[i - step] > hole_us * step;
    if (hole) rows.push([series.time_us[i] - 1, NaN]); // breaks the line
    rows.push([series.time_us[i], series.temperature_degC[i]]);
  }
  const last = series.length - 1;
  if (last >= begin && (last - begin) % step !== 0) {
    rows.push([series.time_us[last], series.temperature_degC[last]]);
  }
  return rows;
}

/** Rows of all columns by time: null where a column has nothing, which the lines pass over. */
function rowsOf(columns) {
  const rows = new Map();
  columns.forEach((column, place) => {
    for (const [time_us, value] of column) {
      if (!rows.has(time_us)) rows.set(time_us, new Array(columns.length).fill(null));
      rows.get(time_us)[place] = value;
    }
  });
  return [...rows.entries()].sort((a, b) => a[0] - b[0]);
}

function lineOf(line) {
  return (line?.time_us ?? []).map((time_us, i) => [time_us, line.temperature_degC[i]]);
}

// Its legend would style its text in a way that the page's own policy forbids, and is not shown.
Dygraph.PLUGINS = Dygraph.PLUGINS.filter((one) => one !== Dygraph.Plugins.Legend);

export class Curve {
  constructor(bench) {
    this.bench = bench;
    this.span_min = 15;
    this.plot = make("div", { class: "curve-plot", "aria-hidden": "true" });
    this.words = make("p", { class: "curve-words visually-hidden" });
    this.choice = make("select", { onchange: () => this.choose(), id: "span" });
    for (const span of spans_min) {
      const [key, count] = span < 60 ? ["minutes", span] : ["hours", span / 60];
      const text = t(`live_curve.${key}`, { count });
      this.choice.append(make("option", { value: span, selected: span === 15 }, text));
    }
    this.element = make("section", { class: "curve", "aria-label": t("live_curve.name") },
      make("div", { class: "curve-head" },
        make("label", { for: "span" }, t("live_curve.span")), this.choice),
      this.plot, make("p", { class: "curve-axis" }, t("live_curve.axis")), this.words);
  }

  async choose() {
    this.span_min = Number(this.choice.value);
    const to_us = this.bench.now_us();
    await this.bench.load(to_us - this.span_min * 60e6, to_us + 1e6, 4000);
    this.draw();
  }

  columns() {
    const from_us = this.bench.now_us() - this.span_min * 60e6;
    const probes = roles.map((role) => this.bench.probe(role)).filter((one) => one);
    const columns = probes.map((one) => thinned(one.series, from_us));
    const provisional = this.bench.status.run.provisional;
    for (const line of [provisional?.fore_line, provisional?.after_line]) {
      columns.push(lineOf(line).filter(([time_us]) => time_us >= from_us));
    }
    return { probes, columns, from_us };
  }

  draw() {
    if (!this.bench.status || !this.plot.isConnected) return;
    const { probes, columns, from_us } = this.columns();
    const now_us = this.bench.now_us();
    this.drawn_us = now_us;
    const rows = rowsOf(columns);
    if (rows.length === 0) return;
    // From the first reading on, where the span has none before; but no shorter than a few minutes.
    const shown_us = Math.max(from_us, Math.min(rows[0][0], now_us - shortest_us));
    const window = [(shown_us - now_us) / 60e6, 0];
    rows.forEach((row) => row.splice(0, 2, (row[0] - now_us) / 60e6, ...row[1]));
    const labels = ["min", ...probes.map((one) => one.name), "fore", "after"];
    if (this.graph && this.labels === labels.join()) {
      this.graph.updateOptions({ file: rows, dateWindow: window });
    } else {
      this.make(rows, labels, probes, window);
    }
    this.describe(probes);
  }

  /** Where main period and after period begin, each with its name behind the line. */
  drawPeriods(canvas, area, graph) {
    const { run } = this.bench.status;
    const mixing_us = mixingOf(this.bench.status);
    if (mixing_us === null) return;
    const ends = [["main", mixing_us], ["after", run.settled_us ?? null]];
    const style = getComputedStyle(document.documentElement);
    canvas.save();
    canvas.strokeStyle = style.getPropertyValue("--line").trim();
    canvas.fillStyle = style.getPropertyValue("--quiet").trim();
    canvas.font = `0.9rem ${style.fontFamily}`;
    canvas.setLineDash([3, 3]);
    ends.filter(([, time_us]) => time_us !== null).forEach(([name, time_us], place) => {
      const x = graph.toDomXCoord((time_us - this.drawn_us) / 60e6);
      if (x < area.x || x > area.x + area.w) return;
      canvas.beginPath();
      canvas.moveTo(x, area.y);
      canvas.lineTo(x, area.y + area.h);
      canvas.stroke();
      canvas.fillText(t(`live_curve.${name}`), x + 5, area.y + area.h - 10 - 20 * place);
    });
    canvas.restore();
  }

  make(rows, labels, probes, window) {
    this.graph?.destroy();
    this.labels = labels.join();
    const style = getComputedStyle(document.documentElement);
    const series = { fore: { strokePattern: [7, 5], strokeWidth: 2 },
      after: { strokePattern: [2, 4], strokeWidth: 3 } };
    const patterns = { cup: null, added: [10, 4], room: [2, 3] };
    for (const one of probes) {
      series[one.name] = { strokePattern: patterns[one.role],
        strokeWidth: one.role === "cup" ? 3 : 1.5 };
    }
    const ink = (name) => style.getPropertyValue(name).trim();
    this.graph = new Dygraph(this.plot, rows, {
      labels, series, dateWindow: window, connectSeparatedPoints: true, legend: "never",
      colors: [...probes.map((one) => ink(`--${one.role}`)), ink("--quiet"), ink("--quiet")],
      interactionModel: {}, animatedZooms: false, rightGap: 8,
      underlayCallback: (...where) => this.drawPeriods(...where),
      axisLineColor: ink("--line"), gridLineColor: ink("--faint"),
      axes: {
        x: { axisLabelFormatter: (value) => number(value, Number.isInteger(value) ? 0 : 1),
          pixelsPerLabel: 70 },
        y: { axisLabelFormatter: (value, _, __, graph) => {
          const [low, high] = graph.yAxisRange();
          return number(value, high - low < 0.5 ? 2 : 1);
        }, axisLabelWidth: 54 },
      },
    });
  }

  /** For those who do not see the curve. */
  describe(probes) {
    const cup = probes.find((one) => one.role === "cup");
    if (!cup || cup.series.length === 0) return;
    const begin = cup.series.from(this.bench.now_us() - this.span_min * 60e6);
    const from = cup.series.temperature_degC[Math.min(begin, cup.series.length - 1)];
    const to = cup.series.temperature_degC.at(-1);
    setText(this.words,
      t("live_curve.described", { from: temperature(from, 1), to: temperature(to, 1) }));
  }

  /** Colours changed. */
  remake() {
    this.labels = null;
    this.draw();
  }
}
