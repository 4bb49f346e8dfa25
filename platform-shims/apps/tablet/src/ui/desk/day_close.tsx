// The close of an area's day: what is open of it is shown first, then what is recorded is signed. And the closes of days
// before, with how they stand and what came after.
import { useState } from "preact/hooks";
import { CallFailed, errorCode } from "../../core/messages";
import { dayText } from "../../core/time";
import { type Confirmation, QuestionRule } from "../../proto/built_in_pb";
import { type OpenPoint, OpenRule } from "../../proto/proof_pb";
import { words } from "../../words/words";
import { Day, Picker, Text } from "../parts/inputs";
import { useSaving } from "../parts/saving";
import { useAnswer, useShared } from "../state";
import { useAreas } from "./areas";
import { Closes } from "./closes";
import { openText } from "./open_words";

function Point({ point }: { point: OpenPoint }) {
  const { zone, go } = useShared();
  const never = point.rule === OpenRule.NOT_HEARD && point.atMs === 0n;
  const at = point.atMs === undefined ? "" : never ? words.desk.close.never : zone.text(Number(point.atMs));
  const isOfReview = point.rule === OpenRule.REVIEW || point.rule === OpenRule.HELD;
  return (
    <li class="item line">
      <span class="what">
        <strong>{openText(point.rule)}</strong>
        <small>{[point.subjectName, point.what.replaceAll("_", " "), at].filter(Boolean).join(" · ")}</small>
      </span>
      {isOfReview && (
        <button type="button" class="quiet" onClick={() => go({ at: "review" })}>
          {words.desk.groups.review}
        </button>
      )}
    </li>
  );
}

const pointsShown = 30;

export function DayClose() {
  const { client, zone, say } = useShared();
  const today = zone.day(Date.now());
  const areas = useAreas();
  const [area, setArea] = useState("");
  const [day, setDay] = useState<number | null>(today);
  const [note, setNote] = useState("");
  const [because, setBecause] = useState("");
  const [seen, setSeen] = useState(false);
  const saving = useSaving(() => {
    setSeen(false);
    setNote("");
    setBecause("");
  });
  const { close } = words.desk;
  const chosen = area === "" ? (areas[0] ?? "") : area;

  const call = (lookOnly: boolean, theDay: number) => ({
    case: "dayClose" as const,
    value: {
      area: chosen,
      day: theDay,
      utcOffsetMin: zone.offsetMin(Date.now()),
      zone: zone.offsets(theDay),
      note,
      lookOnly,
    },
  });
  const { answer: look, failure } = useAnswer(
    async () => (chosen === "" || day === null ? null : client.look(call(true, day), "dayClose")),
    [client, chosen, day],
  );

  const save = () => {
    if (day === null) return;
    saving.run(async (confirmed?: Confirmation) => {
      const write = (yes?: Confirmation | { questions: Confirmation["questions"]; because: string }) =>
        client.write(call(false, day), "dayClose", yes);
      let reply;
      try {
        reply = await write(confirmed);
      } catch (error) {
        const questions =
          error instanceof CallFailed && error.code === errorCode.unconfirmed
            ? error.reply?.failure?.questions
            : undefined;
        // The open things were shown, and the yes to them was ticked; any other question is asked.
        const isAllOpen = questions?.every((question) => question.rule === QuestionRule.DAY_OPEN);
        if (!questions || !isAllOpen || !seen) throw error;
        reply = await write({ questions, because });
      }
      say({
        text: reply.sealed ? close.saved(chosen, dayText(day)) : close.savedUnsealed(chosen, dayText(day)),
      });
    });
  };

  const open = look?.open ?? [];
  return (
    <main class="desk">
      <h2>{close.title}</h2>
      <p class="known">{close.help}</p>
      {areas.length === 0 && <p>{close.noAreas}</p>}
      <div class="row filters">
        <Picker
          label={words.fields.area}
          options={areas.map((name) => ({ key: name, title: name, value: name }))}
          chosen={chosen}
          onValue={(value) => setArea(value ?? "")}
        />
        <Day label={words.fields.day} value={day} onValue={setDay} />
      </div>
      {failure !== "" && <p class="failure">{failure}</p>}
      {look && (
        <section class="pool">
          <h3>{close.wouldClose(look.records, look.changes)}</h3>
          {look.closedBefore > 0 && <p class="asks">{close.closedBefore(look.closedBefore)}</p>}
          {open.length === 0 ? (
            <p>{close.nothingOpen}</p>
          ) : (
            <>
              <p class="asks">{close.openCount(open.length)}</p>
              <ul>
                {open.slice(0, pointsShown).map((point, index) => (
                  <Point key={index} point={point} />
                ))}
              </ul>
              {open.length > pointsShown && <p>{close.openMore(open.length - pointsShown)}</p>}
              <label class="tick">
                <input
                  type="checkbox"
                  checked={seen}
                  onChange={(event) => setSeen(event.currentTarget.checked)}
                />
                {close.seen}
              </label>
              {seen && <Text label={words.because} value={because} onValue={setBecause} />}
            </>
          )}
          <Text label={words.fields.note} value={note} long onValue={setNote} />
          {saving.failure}
          <div class="row foot">
            <button type="button" disabled={open.length > 0 && !seen} onClick={save}>
              {close.do}
            </button>
          </div>
        </section>
      )}
      {saving.really}
      <Closes area={chosen} lastDay={today} />
    </main>
  );
}
