// What this browser was told about the app's looks: kept beside the records, never in them.
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
export function showLook(): void {
  document.documentElement.dataset.look = look();
}

// From the next start on; "": as the browser says.
export function setLanguage(code: string): void {
  localStorage.setItem(languageName, code);
  location.reload();
}
