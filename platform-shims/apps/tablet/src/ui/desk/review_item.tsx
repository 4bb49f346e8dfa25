// One item of the review: all that is known of it, and the decisions that fit it.
import type { ReviewDetailReply, ReviewItem } from "../../proto/reading_pb";
import { words } from "../../words/words";
import { useAnswer, useShared } from "../state";
import { Disagreement } from "./review_disagreement";
import { Held } from "./review_hold";
import { SideBySide } from "./review_records";
import { reviewRule } from "./review_rules";

export interface DecisionProps {
  item: ReviewItem;
  detail: ReviewDetailReply;
  decided: () => void;
}

export function Decision({ item, decided }: { item: ReviewItem; decided: () => void }) {
  const { client } = useShared();
  const { answer: detail, failure } = useAnswer(
    () =>
      client.ask(
        {
          case: "reviewDetail",
          value: {
            rule: item.rule,
            field: item.field,
            ...(item.records[0] ? { record: item.records[0] } : {}),
          },
        },
        "reviewDetail",
      ),
    [client, item],
  );
  if (failure !== "") return <p class="failure">{failure}</p>;
  if (!detail) return <p>{words.desk.reading}</p>;
  const props = { item, detail, decided };
  if (item.rule === reviewRule.disagreement) return <Disagreement {...props} />;
  if (item.rule === reviewRule.held) return <Held {...props} />;
  return <SideBySide {...props} />;
}
