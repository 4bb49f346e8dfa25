// Settings of this browser for the app's looks are kept beside the records, never in them.
export type Look = "" | "day" | "night"; // "": as the device says.
const lookName = "wrackline-look";
export const languageName = "wrackline-language";

export function look(): Look {
  const kept = localStorage.getItem(lookName);
  return kept === "day" || kept === "night" ? kept : "";
}
export function setLook(value: Look): void {
  localStorage.setItem(lookName, value);
  showLook();
}
// Dispatched when day has become night, or the other way round: what is drawn by hand is to be drawn anew.
export const lookEvent = "wrackline-look";
// Called at the start, and when the device turns from day to night.
export function showLook(): void {
  const chosen = look();
  const night = matchMedia("(prefers-color-scheme: dark)").matches;
  document.documentElement.dataset["look"] = chosen === "" ? (night ? "night" : "day") : chosen;
  dispatchEvent(new Event(lookEvent));
}

// From the next start on; "": as the browser says.
export function setLanguage(code: string): void {
  localStorage.setItem(languageName, code);
  location.reload();
}
