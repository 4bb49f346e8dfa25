// How a chart is drawn: colours from the style sheet, so that day and night hold; marks and dashes, so that no colour is needed to
// tell one line from another.
import type uPlot from "uplot";
import { dayShort } from "../../core/dates";
import { words } from "../../words/words";
import { number } from "./figures";

export type Colour = "ink" | "faint" | "water" | "amber" | "alarm" | "done";
// "level" is a line as wide as a day.
export type Mark = "dot" | "ring" | "diamond" | "triangle" | "square" | "level";
export type Stroke = "full" | "dashed" | "dotted" | "none";

export interface Series {
  label: string;
  values: (number | null)[]; // Null is a gap, never zero.
  colour: Colour;
  stroke: Stroke;
  mark?: Mark;
}
// Two series that have what lies between them tinted, by their places in the list.
export type Band = [upper: number, lower: number];

export const dashOf: Record<Stroke, number[]> = {
  full: [],
  dashed: [10, 6],
  dotted: [2, 5],
  none: [0, 1000],
};

const onPaper: Record<string, string> = { ground: "#ffffff", line: "#999999" };

// Charts are pictures made of dots: what is printed is drawn anew in black, whatever the hall is lit like.
export function palette(isPaper: boolean): (name: Colour | "line" | "ground") => string {
  if (isPaper) return (name) => onPaper[name] ?? "#000000";
  const style = getComputedStyle(document.documentElement);
  return (name) => style.getPropertyValue(`--${name}`).trim();
}

// The outline of a mark around a point.
export function markPath(mark: Mark, x: number, y: number, r: number): Path2D {
  const path = new Path2D();
  switch (mark) {
    case "dot":
    case "ring":
      path.arc(x, y, r, 0, 2 * Math.PI);
      break;
    case "square":
      path.rect(x - r, y - r, 2 * r, 2 * r);
      break;
    case "diamond":
      path.moveTo(x, y - 1.5 * r);
      path.lineTo(x + 1.5 * r, y);
      path.lineTo(x, y + 1.5 * r);
      path.lineTo(x - 1.5 * r, y);
      path.closePath();
      break;
    case "triangle":
      path.moveTo(x, y - 1.6 * r);
      path.lineTo(x + 1.5 * r, y + r);
      path.lineTo(x - 1.5 * r, y + r);
      path.closePath();
      break;
    case "level":
      path.moveTo(x - r, y);
      path.lineTo(x + r, y);
  }
  return path;
}

export function isFilled(mark: Mark): boolean {
  return mark === "dot" || mark === "square" || mark === "triangle";
}

function drawMarks(chart: uPlot, index: number, series: Series, colour: string): void {
  const mark = series.mark;
  if (!mark) return;
  const ctx = chart.ctx;
  const ratio = devicePixelRatio;
  // Many points are drawn small, so that a year is no blot.
  const halfDay = Math.abs(chart.valToPos(0.5, "x", true) - chart.valToPos(0, "x", true));
  const radius = mark === "level" ? halfDay : (series.values.length > 120 ? 2.5 : 4.5) * ratio;
  ctx.save();
  ctx.strokeStyle = ctx.fillStyle = colour;
  ctx.lineWidth = 2 * ratio;
  ctx.setLineDash([]);
  for (const [at, value] of (chart.data[index] ?? []).entries()) {
    const x = chart.data[0][at];
    if (value === null || value === undefined || x === undefined) continue;
    const path = markPath(mark, chart.valToPos(x, "x", true), chart.valToPos(value, "y", true), radius);
    if (isFilled(mark)) ctx.fill(path);
    else ctx.stroke(path);
  }
  ctx.restore();
}

export interface Drawing {
  series: Series[];
  bands: Band[];
  unit: string;
  digits: number;
  fromZero: boolean;
}

export function optionsOf(
  drawing: Drawing,
  size: { width: number; height: number },
  colourOf: (name: Colour | "line" | "ground") => string,
): uPlot.Options {
  const font = "16px system-ui, sans-serif";
  const grid = { stroke: colourOf("line"), width: 1 };
  return {
    ...size,
    legend: { show: false },
    cursor: { y: false, points: { show: false }, drag: { x: false, y: false } },
    scales: {
      x: { time: false },
      y: {
        range: (_, low, high) => {
          const from = drawing.fromZero ? Math.min(0, low) : low;
          const room = (high - from || Math.abs(high) || 1) * 0.08;
          return [drawing.fromZero && from === 0 ? 0 : from - room, high + room];
        },
      },
    },
    axes: [
      {
        font,
        stroke: colourOf("ink"),
        grid,
        ticks: grid,
        space: 90,
        incrs: [1, 2, 7, 14, 28, 56, 91, 182, 364],
        values: (_, splits) => splits.map((at) => (Number.isInteger(at) ? dayShort(at, words.language) : "")),
      },
      {
        font,
        stroke: colourOf("ink"),
        grid,
        ticks: grid,
        size: 72,
        label: drawing.unit,
        labelFont: font,
        values: (_, splits) => splits.map((value) => number(value, drawing.digits)),
      },
    ],
    series: [
      {},
      ...drawing.series.map((series): uPlot.Series => {
        const colour = colourOf(series.colour);
        return {
          label: series.label,
          stroke: series.stroke === "none" ? "transparent" : colour,
          width: series.stroke === "none" ? 0 : 2,
          dash: dashOf[series.stroke],
          points: { show: false },
        };
      }),
    ],
    bands: drawing.bands.map(([upper, lower]) => ({
      series: [upper + 1, lower + 1],
      fill: `${colourOf("done")}22`,
    })),
    hooks: {
      drawSeries: [
        (chart, index) => {
          const series = drawing.series[index - 1];
          if (series) drawMarks(chart, index, series, colourOf(series.colour));
        },
      ],
    },
  };
}
