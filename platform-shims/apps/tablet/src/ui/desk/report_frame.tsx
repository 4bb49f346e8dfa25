// Every report has these: its title, who printed it, and as of when the records are known.
import type { ComponentChildren } from "preact";
import { words } from "../../words/words";
import { useShared } from "../state";

export function ReportFrame(props: { title: string; cautions: string[]; children: ComponentChildren }) {
  const { client, status, zone } = useShared();
  const report = words.reports;
  const known = status.lastExchangeMs;
  return (
    <article class="report">
      <h3>
        {props.title} <small>{status.facilityName}</small>
      </h3>
      <p class="known">
        {report.by(client.person?.name ?? "", status.deviceName, zone.text(Date.now()))}{" "}
        {known === 0n ? report.knownNever : report.knownAsOf(zone.text(Number(known)))}{" "}
        {status.unsent > 0 ? report.unsent(status.unsent) : ""}
      </p>
      {props.children}
      {props.cautions.map((caution) => (
        <p class="caution" key={caution}>
          {caution}
        </p>
      ))}
    </article>
  );
}
