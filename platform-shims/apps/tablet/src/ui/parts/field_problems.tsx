// The problems of a refused record that stand beside one of its fields.
import { problemText } from "../../core/problems";
import type { Problem } from "../../proto/call_pb";

export function FieldProblems({ problems, field }: { problems: Problem[]; field: number | undefined }) {
  return (
    <>
      {problems
        .filter((problem) => problem.field === field)
        .map((problem, index) => (
          <p class="failure" key={index}>
            {problemText(problem)}
          </p>
        ))}
    </>
  );
}
