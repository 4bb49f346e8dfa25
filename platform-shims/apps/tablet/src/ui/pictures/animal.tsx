// One animal's pictures: which animal, which days, which picture.
import { useState } from "preact/hooks";
import { kind } from "../../core/kinds";
import { listAll } from "../../core/records";
import type { RecordRef } from "../../proto/change_pb";
import { AnimalSchema } from "../../proto/roster_pb";
import { words } from "../../words/words";
import { Choice } from "../parts/inputs";
import { useAnswer, useShared } from "../state";
import { Body } from "./body";
import { Chooser, useChosen } from "./chooser";
import { Control } from "./control";
import { Intake } from "./intake";
import type { AnimalPicture } from "./places";
import { Rotation } from "./rotation";
import { type Days, useDays } from "./span";
import { Training } from "./training";

const text = words.pictures.animal;
const shown: Record<
  AnimalPicture,
  (props: { animal: RecordRef; name: string; days: Days }) => preact.JSX.Element
> = { intake: Intake, control: Control, body: Body, training: Training, rotation: Rotation };
const names = Object.keys(shown) as AnimalPicture[];

export function AnimalPictures(props: {
  animal?: RecordRef | undefined;
  picture?: AnimalPicture | undefined;
}) {
  const { client } = useShared();
  const { answer: animals } = useAnswer(() => listAll(client, kind.animal, AnimalSchema), [client]);
  const [chosen, choose] = useChosen(animals, props.animal);
  const [picture, setPicture] = useState<AnimalPicture>(props.picture ?? "intake");
  const { days, chooser } = useDays(90);
  if (!animals) return <p>{words.pictures.drawing}</p>;
  const Shown = shown[picture];
  return (
    <main>
      <h2>{text.title}</h2>
      {animals.length === 0 ? (
        <p>{text.none}</p>
      ) : (
        <>
          <Chooser
            label={text.animal}
            options={animals}
            nameOf={({ fields }) =>
              [fields.name, fields.headCount === undefined ? "" : text.heads(fields.headCount)]
                .filter(Boolean)
                .join(" · ")
            }
            chosen={chosen}
            choose={choose}
          />
          <Choice
            label={text.which}
            options={names.map((value) => ({ value, title: text.pictures[value] }))}
            value={picture}
            onValue={(value) => setPicture(value ?? "intake")}
          />
          <div class="gap" />
          {chooser}
          {chosen && <Shown animal={chosen.record} name={chosen.fields.name} days={days} />}
        </>
      )}
    </main>
  );
}
