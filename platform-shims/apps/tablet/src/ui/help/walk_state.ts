// How far the first walk is, kept in this browser beside the records: each tablet shows it once, to whoever is first at it.
const keptName = "wrackline-walk";
const over = "over";
export const walkEvent = "wrackline-walk";

// Null: it is over, or was left.
export function walkStep(): number | null {
  const kept = localStorage.getItem(keptName);
  return kept === over ? null : Number(kept ?? 0);
}
export function setWalkStep(step: number | null): void {
  localStorage.setItem(keptName, step === null ? over : String(step));
  dispatchEvent(new Event(walkEvent));
}
