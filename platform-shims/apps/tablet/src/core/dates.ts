// Days and instants as people read them: in the facility's time zone and the language of the words.
import type { Zone } from "./time";

const dayMs = 24 * 60 * 60 * 1000;

// "26 Nov 2026"; a husbandry day belongs to no zone any more.
export function dayWords(day: number, language: string): string {
  return new Intl.DateTimeFormat(language, {
    timeZone: "UTC",
    day: "numeric",
    month: "short",
    year: "numeric",
  }).format(day * dayMs);
}
// "Thursday 26 November", at the head of a day's screen.
export function dayAtHead(day: number, language: string): string {
  return new Intl.DateTimeFormat(language, {
    timeZone: "UTC",
    weekday: "long",
    day: "numeric",
    month: "long",
  }).format(day * dayMs);
}
// Without the year, for the axis of a chart and the columns of a calendar.
export function dayShort(day: number, language: string): string {
  return new Intl.DateTimeFormat(language, { timeZone: "UTC", day: "numeric", month: "short" }).format(
    day * dayMs,
  );
}
// Monday is 0, as in the records.
export function weekdayOf(day: number): number {
  return (((day + 3) % 7) + 7) % 7;
}
export function weekdayWords(weekday: number, language: string, width: "short" | "long" = "long"): string {
  // 1970-01-05 was a Monday.
  return new Intl.DateTimeFormat(language, { timeZone: "UTC", weekday: width }).format((weekday + 4) * dayMs);
}

// "26 Nov 2026, 08:31" at the facility.
export function instantWords(atMs: bigint | number, zone: Zone, language: string): string {
  return new Intl.DateTimeFormat(language, {
    timeZone: zone.name,
    day: "numeric",
    month: "short",
    year: "numeric",
    hour: "2-digit",
    minute: "2-digit",
  }).format(Number(atMs));
}
