// A table that a screen reader and a printer get right.
import type { ComponentChildren } from "preact";

export function Table(props: {
  caption: string;
  head: string[];
  rows: ComponentChildren[][];
  // Columns of figures, by index: set to the right, digits under digits.
  figures?: number[];
}) {
  const align = (column: number) => (props.figures?.includes(column) ? "figure" : undefined);
  return (
    <div class="wide" tabIndex={0} role="region" aria-label={props.caption}>
      <table>
        <caption>{props.caption}</caption>
        <thead>
          <tr>
            {props.head.map((title, column) => (
              <th key={column} scope="col" class={align(column)}>
                {title}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {props.rows.map((cells, row) => (
            <tr key={row}>
              {cells.map((cell, column) => (
                <td key={column} class={align(column)}>
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
