// A picture as all pictures are: what it shows in a sentence, its lines by dash and mark, the chart, and the figures as a table.
import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";
import { words } from "../../words/words";
import { Table } from "../parts/table";
import { dashOf, isFilled, type Mark, type Series } from "./drawing";

// The same outlines as the chart's, around the middle of the swatch.
const outline: Record<Mark, string> = {
  dot: "M24 7a5 5 0 1 0 .01 0",
  ring: "M24 7a5 5 0 1 0 .01 0",
  square: "M19 7h10v10h-10z",
  diamond: "M24 4l8 8-8 8-8-8z",
  triangle: "M24 4l8 14h-16z",
  level: "M8 12h32",
};

function Swatch({ series }: { series: Series }) {
  const colour = `var(--${series.colour})`;
  return (
    <svg class="swatch" viewBox="0 0 48 24" width="48" height="24" aria-hidden="true">
      {series.stroke !== "none" && (
        <path
          d="M0 12h48"
          stroke={colour}
          stroke-width="2.5"
          stroke-dasharray={dashOf[series.stroke].join(" ")}
        />
      )}
      {series.mark && (
        <path
          d={outline[series.mark]}
          stroke={colour}
          stroke-width="2"
          fill={isFilled(series.mark) ? colour : "none"}
        />
      )}
    </svg>
  );
}

export function Legend({ series }: { series: Series[] }) {
  return (
    <ul class="legend">
      {series.map((one) => (
        <li key={one.label}>
          <Swatch series={one} /> {one.label}
        </li>
      ))}
    </ul>
  );
}

export interface Figures {
  head: string[];
  rows: ComponentChildren[][];
  figures?: number[];
}

// Closed on the screen, open on paper.
export function Behind({ caption, figures }: { caption: string; figures: Figures }) {
  const [open, setOpen] = useState(false);
  useEffect(() => {
    const onPaper = () => setOpen(true);
    addEventListener("beforeprint", onPaper);
    return () => removeEventListener("beforeprint", onPaper);
  }, []);
  return (
    <details open={open} onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{words.pictures.asTable}</summary>
      {open && <Table caption={caption} {...figures} />}
    </details>
  );
}

export function Picture(props: {
  title: string;
  says: string;
  series?: Series[];
  children?: ComponentChildren;
  table?: Figures;
}) {
  return (
    <section class="pool picture">
      <h3>{props.title}</h3>
      <p>{props.says}</p>
      {props.series && <Legend series={props.series} />}
      {props.children}
      {props.table && <Behind caption={props.title} figures={props.table} />}
    </section>
  );
}
