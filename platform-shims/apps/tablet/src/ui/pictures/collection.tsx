// Every animal's day at once, with the way to each one's pictures.
import { useState } from "preact/hooks";
import { dayWords } from "../../core/dates";
import type { AnimalDay } from "../../proto/husbandry_pb";
import { words } from "../../words/words";
import { Day } from "../parts/inputs";
import { Table } from "../parts/table";
import { useAnswer, useShared } from "../state";
import { massWords, percent } from "./figures";

const text = words.pictures.collection;

// Whether what was eaten is known, and if not, why not.
function standing({ intake }: AnimalDay): string {
  if (!intake?.recorded) return words.pictures.notRecorded;
  return intake.portionsUnweighed > 0 ? text.unweighed(intake.portionsUnweighed) : text.whole;
}

export function CollectionDay() {
  const { client, zone, go } = useShared();
  const [day, setDay] = useState(zone.day(Date.now()));
  const { answer: reply, failure } = useAnswer(
    () => client.ask({ case: "collectionDay", value: { day } }, "collectionDay"),
    [client, day],
  );
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!reply) return <p>{words.pictures.drawing}</p>;
  const areas = [...new Set(reply.animals.map(({ area }) => area))];
  const row = (one: AnimalDay) => {
    const { animal, intake } = one;
    return [
      animal ? (
        <button type="button" class="link" onClick={() => go({ at: "animalPicture", animal })}>
          {one.animalName}
        </button>
      ) : (
        one.animalName
      ),
      one.poolName,
      standing(one),
      massWords(intake?.plannedMg),
      intake?.recorded ? massWords(intake.offeredMg) : "",
      intake?.recorded ? massWords(intake.eatenMg) : "",
      intake?.recorded ? percent(intake.planPpm) : "",
      massWords(intake?.bodyMassMg),
    ];
  };
  return (
    <main>
      <h2>{text.title(dayWords(day, words.language))}</h2>
      <div class="row stepping">
        <button type="button" class="quiet" onClick={() => setDay(day - 1)}>
          {text.before}
        </button>
        <Day label={text.day} value={day} onValue={(value) => value !== null && setDay(value)} />
        <button type="button" class="quiet" onClick={() => setDay(day + 1)}>
          {text.after}
        </button>
      </div>
      {reply.animals.length === 0 && <p>{text.nothing}</p>}
      {areas.map((area) => (
        <section class="pool" key={area}>
          <h3>{area === "" ? text.noArea : area}</h3>
          <Table
            caption={text.caption}
            head={text.head}
            rows={reply.animals.filter((one) => one.area === area).map(row)}
            figures={[3, 4, 5, 6, 7]}
          />
        </section>
      ))}
      <p class="caution">{words.pictures.intake.caution}</p>
    </main>
  );
}
