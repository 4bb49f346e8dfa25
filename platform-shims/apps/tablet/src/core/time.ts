// The facility's time, by the browser's time-zone data. The core has none: it is handed offsets.
import type { MessageInitShape } from "@bufbuild/protobuf";
import type { ZoneOffsetSchema } from "../proto/husbandry_pb";

const minuteMs = 60_000;
const hourMs = 60 * minuteMs;
const dayMs = 24 * hourMs;

export interface When {
  day: number; // The husbandry day: days since 1970-01-01 at the facility.
  happenedMs: bigint;
  utcOffsetMin: number;
}

export class Zone {
  private readonly parts: Intl.DateTimeFormat;
  constructor(readonly name: string) {
    this.parts = new Intl.DateTimeFormat("en-GB", {
      timeZone: name,
      hourCycle: "h23",
      year: "numeric",
      month: "2-digit",
      day: "2-digit",
      hour: "2-digit",
      minute: "2-digit",
      second: "2-digit",
    });
  }

  offsetMin(atMs: number): number {
    const part = new Map(this.parts.formatToParts(atMs).map(({ type, value }) => [type, Number(value)]));
    const local = Date.UTC(
      part.get("year") ?? 0,
      (part.get("month") ?? 1) - 1,
      part.get("day"),
      part.get("hour"),
      part.get("minute"),
      part.get("second"),
    );
    return Math.round((local - Math.floor(atMs / 1000) * 1000) / minuteMs);
  }
  day(atMs: number): number {
    return Math.floor((atMs + this.offsetMin(atMs) * minuteMs) / dayMs);
  }
  when(atMs: number): When {
    return { day: this.day(atMs), happenedMs: BigInt(atMs), utcOffsetMin: this.offsetMin(atMs) };
  }
  // Minutes after midnight, there.
  minute(atMs: number): number {
    return Math.floor(((((atMs + this.offsetMin(atMs) * minuteMs) % dayMs) + dayMs) % dayMs) / minuteMs);
  }

  // The text that a clock there shows: 2026-11-24 08:35.
  text(atMs: number): string {
    return `${dayText(this.day(atMs))} ${clock(this.minute(atMs))}`;
  }
  // The instant of such a text; null when the clocks were put forward over it. An hour that comes twice means its first time.
  instant(day: number, minute: number): number | null {
    const utc = day * dayMs + minute * minuteMs;
    const fits = [utc - dayMs, utc + dayMs]
      .map((near) => utc - this.offsetMin(near) * minuteMs)
      .filter((at) => this.day(at) === day && this.minute(at) === minute);
    return fits.length === 0 ? null : Math.min(...fits);
  }
  // The clock there, 08:35.
  clockAt(atMs: number): string {
    return clock(this.minute(atMs));
  }

  // A moment as people read it there: 25 Nov, 08:35.
  momentText(atMs: number, language: string): string {
    return new Intl.DateTimeFormat(language, {
      timeZone: this.name,
      day: "numeric",
      month: "short",
      hour: "2-digit",
      minute: "2-digit",
    }).format(atMs);
  }

  // The offsets in force from the day before to the day after, as calls want them. Zones change on the hour or on its
  // quarters.
  offsets(first: number, last = first): MessageInitShape<typeof ZoneOffsetSchema>[] {
    const out: MessageInitShape<typeof ZoneOffsetSchema>[] = [];
    let before: number | undefined;
    const put = (at: number) => {
      const offset = this.offsetMin(at);
      if (offset !== before) out.push({ fromMs: BigInt(at), utcOffsetMin: offset });
      before = offset;
    };
    put((first - 2) * dayMs);
    // Day by day, and by the quarter of an hour where a day changed it.
    for (let at = (first - 2) * dayMs; at < (last + 3) * dayMs; at += dayMs) {
      if (this.offsetMin(at + dayMs) === before) continue;
      for (let part = at; part <= at + dayMs; part += hourMs / 4) put(part);
    }
    return out;
  }
}

export function clock(minute: number): string {
  return `${String(Math.floor(minute / 60)).padStart(2, "0")}:${String(minute % 60).padStart(2, "0")}`;
}

export function clockOf(text: string): number | null {
  const match = /^(\d{1,2}):(\d{2})$/.exec(text.trim());
  const minute = match ? Number(match[1]) * 60 + Number(match[2]) : NaN;
  return match && Number(match[1]) < 24 && Number(match[2]) < 60 ? minute : null;
}

// A day as the browser's inputs and the trade's forms write it, 2026-04-09, and back; null when it is none.
export function dayText(day: number): string {
  return new Date(day * dayMs).toISOString().slice(0, 10);
}
export function dayOf(text: string): number | null {
  const ms = /^\d{4}-\d{2}-\d{2}$/.test(text) ? Date.parse(`${text}T00:00:00Z`) : NaN;
  return Number.isNaN(ms) ? null : ms / dayMs;
}
