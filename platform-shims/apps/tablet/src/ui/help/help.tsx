// Help: the walk once more, what to be careful with, the keyboard.
import { words } from "../../words/words";
import { useShared } from "../state";
import { setWalkStep } from "./walk_state";

const text = words.help;

export function Help() {
  const { go } = useShared();
  return (
    <main>
      <h2>{text.title}</h2>
      <section class="pool">
        <h3>{text.walk.title}</h3>
        <p>{text.walk.about}</p>
        <button
          type="button"
          onClick={() => {
            setWalkStep(0);
            go({ at: "today" });
          }}
        >
          {text.walk.begin}
        </button>
      </section>
      <section class="pool">
        <h3>{text.moreTitle}</h3>
        <div class="row">
          <button type="button" class="quiet" onClick={() => go({ at: "help-when" })}>
            {text.when.title}
          </button>
          <button type="button" class="quiet" onClick={() => go({ at: "help-words" })}>
            {text.terms.title}
          </button>
        </div>
      </section>
      <section class="pool">
        <h3>{text.cautions.title}</h3>
        <ul class="steps">
          {text.cautions.list.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
      </section>
      <section class="pool">
        <h3>{text.keys.title}</h3>
        <dl class="terms">
          {text.keys.list.map(([key, says]) => (
            <div key={key}>
              <dt>
                <kbd>{key}</kbd>
              </dt>
              <dd>{says}</dd>
            </div>
          ))}
        </dl>
      </section>
    </main>
  );
}

export function Terms() {
  return (
    <main>
      <h2>{text.terms.title}</h2>
      <dl class="terms">
        {text.terms.list.map(([term, says]) => (
          <div key={term}>
            <dt>{term}</dt>
            <dd>{says}</dd>
          </div>
        ))}
      </dl>
    </main>
  );
}

export function When() {
  return (
    <main>
      <h2>{text.when.title}</h2>
      {text.when.list.map(({ title, steps }) => (
        <section class="pool" key={title}>
          <h3>{title}</h3>
          <ul class="steps">
            {steps.map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        </section>
      ))}
    </main>
  );
}
