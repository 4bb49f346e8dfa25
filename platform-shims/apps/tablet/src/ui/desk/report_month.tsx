// A month of one animal or group: each day's intake against plan and body mass; days nobody recorded are gaps, not zeros.
import { dayText } from "../../core/time";
import type { RecordRef } from "../../proto/change_pb";
import { words } from "../../words/words";
import { Table } from "../parts/table";
import { useAnswer, useShared } from "../state";
import { eatenText, energy, massText, percent } from "./report_figures";
import { ReportFrame } from "./report_frame";

export function MonthReport(props: { animal: RecordRef; name: string; first: number; last: number }) {
  const { client } = useShared();
  const { animal, first, last } = props;
  const { report } = words.desk;
  const { answer: intake, failure } = useAnswer(
    () => client.ask({ case: "intake", value: { animal, firstDay: first, lastDay: last } }, "intake"),
    [client, animal, first, last],
  );
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!intake) return <p>{words.desk.reading}</p>;
  const isUnweighed = intake.days.some((day) => day.portionsUnweighed > 0);
  const figures: [string, string][] = [
    [report.daysRecorded, `${intake.daysRecorded} / ${last - first + 1}`],
    [report.daysComplete, String(intake.daysComplete)],
    [report.mean, massText(intake.eatenMeanMg) || report.notKnown],
    [report.median, massText(intake.eatenMedianMg) || report.notKnown],
    [report.meanEnergy, energy(intake.energyMeanCal) || report.notKnown],
    ...(intake.headCount > 1 ? [[report.heads, String(intake.headCount)] as [string, string]] : []),
  ];
  return (
    <ReportFrame
      title={report.monthOf(props.name, dayText(first), dayText(last))}
      cautions={[report.intakeCaution]}
    >
      <dl class="fields">
        {figures.map(([label, text]) => (
          <div key={label}>
            <dt>{label}</dt>
            <dd>{text}</dd>
          </div>
        ))}
      </dl>
      <p class="known">{report.meanHelp}</p>
      <Table
        caption={report.intake}
        head={[
          words.fields.day,
          report.meals,
          words.fields.offered_mg,
          words.fields.left_mg,
          report.eaten,
          report.planned,
          report.ofPlan,
          report.bodyMass,
          report.ofBody,
          report.energy,
        ]}
        figures={[1, 2, 3, 4, 5, 6, 7, 8, 9]}
        rows={intake.days.map((day) => [
          dayText(day.day),
          day.recorded ? day.meals : report.notRecorded,
          massText(day.offeredMg),
          massText(day.leftMg),
          eatenText(day),
          massText(day.plannedMg),
          percent(day.planPpm),
          day.bodyMassMg === undefined
            ? ""
            : `${massText(day.bodyMassMg)} (${words.days(day.bodyMassAgeDays ?? 0)})`,
          percent(day.bodyMassPpm),
          energy(day.energyCal),
        ])}
      />
      {isUnweighed && <p class="known">{report.unweighed}</p>}
      <p class="known">{report.bodyMassAge}</p>
    </ReportFrame>
  );
}
