// A table of a few rows with a bar in each, so that picture and figures are one thing. A range, where there is one, is drawn through
// the end of its bar.
import { words } from "../../words/words";

export interface BarRow {
  cells: string[]; // The first names the row.
  value: number | null; // Null: not known, no bar.
  range?: [number, number];
}

function Bar({ row, full }: { row: BarRow; full: number }) {
  if (row.value === null) return <span class="known">{words.pictures.unknown}</span>;
  const part = (value: number) => `${(100 * Math.max(0, value)) / full}%`;
  return (
    <svg class="bar" width="100%" height="28" aria-hidden="true">
      <rect x="0" y="4" width={part(row.value)} height="20" />
      {row.range && (
        <>
          <line x1={part(row.range[0])} x2={part(row.range[1])} y1="14" y2="14" />
          <line x1={part(row.range[0])} x2={part(row.range[0])} y1="6" y2="22" />
          <line x1={part(row.range[1])} x2={part(row.range[1])} y1="6" y2="22" />
        </>
      )}
    </svg>
  );
}

export function Bars(props: { caption: string; head: string[]; rows: BarRow[]; full?: number }) {
  const full = props.full ?? Math.max(1, ...props.rows.map(({ value }) => value ?? 0));
  return (
    <div class="wide" tabIndex={0} role="region" aria-label={props.caption}>
      <table class="bars">
        <caption class="unseen">{props.caption}</caption>
        <thead>
          <tr>
            <th scope="col">{props.head[0]}</th>
            <td class="bar-cell" />
            {props.head.slice(1).map((title) => (
              <th scope="col" class="figure" key={title}>
                {title}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {props.rows.map((row) => (
            <tr key={row.cells[0]}>
              <th scope="row">{row.cells[0]}</th>
              <td class="bar-cell">
                <Bar row={row} full={full} />
              </td>
              {row.cells.slice(1).map((cell, index) => (
                <td class="figure" key={index}>
                  {cell}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
