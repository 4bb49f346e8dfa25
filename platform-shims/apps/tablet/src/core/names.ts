// Names records: by their own name, else by what they are of and when.
import { create, type DescMessage, fromBinary, type Message } from "@bufbuild/protobuf";
import { type RecordRef, RecordRefSchema } from "../proto/change_pb";
import type { RecordView } from "../proto/reading_pb";
import { calledBy } from "../proto/schema";
import { words } from "../words/words";
import type { Client } from "./client";
import { type Kind, kind, kindName, schemaOf } from "./kinds";
import { recordKey } from "./records";
import { clock, dayText } from "./time";

type Fields = Message & Record<string, unknown>;

export function readFields(kindNumber: number, bytes: Uint8Array): Fields | null {
  const schema = (schemaOf as Record<number, DescMessage | undefined>)[kindNumber];
  return schema ? (fromBinary(schema, bytes) as Fields) : null;
}

export function kindWord(kindNumber: number, many = false): string {
  const name = kindName(kindNumber);
  return name ? words.kindNames[name][many ? 1 : 0] : words.typing.newerKind(kindNumber);
}

// With the kind before it, where the name does not begin with it.
export function withKind(kindNumber: number, name: string): string {
  const word = kindWord(kindNumber);
  return name.startsWith(word) ? name : `${word}: ${name}`;
}

export function shortId(record: RecordRef): string {
  return `${record.log.toString(16).padStart(16, "0").slice(0, 4)}.${record.seq}`;
}

export interface Named {
  key: string;
  title: string;
  ownName: string; // The name that tables give it; empty for kinds without a name.
  value: RecordRef;
}

function ownNameOf(view: RecordView): string {
  // A newer release has kinds that are not in the tables here.
  const name = (calledBy as Record<number, string | undefined>)[view.kind];
  const value = name === undefined ? undefined : readFields(view.kind, view.fields)?.[name];
  return typeof value === "string" ? value : "";
}

// Remembers what it was told: make a new one when the records have changed.
export class Names {
  private readonly views = new Map<string, Promise<RecordView | null>>();
  private readonly lists = new Map<Kind, Promise<Named[]>>();
  constructor(private readonly client: Client) {}

  // Null: it has not arrived here, and is called by its id.
  view(record: RecordRef): Promise<RecordView | null> {
    const key = recordKey(record);
    const known =
      this.views.get(key) ??
      this.client.ask({ case: "get", value: { record } }, "get").then(
        (reply) => reply.record ?? null,
        () => null,
      );
    this.views.set(key, known);
    return known;
  }

  async of(record: RecordRef | undefined): Promise<string> {
    if (!record) return "";
    const view = await this.view(record);
    return view ? this.ofView(view) : shortId(record);
  }

  async ofView(view: RecordView): Promise<string> {
    const fields = readFields(view.kind, view.fields);
    const id = view.record ? shortId(view.record) : "";
    if (!fields) return `${kindWord(view.kind)} ${id}`;
    const text = (name: string) => (typeof fields[name] === "string" ? fields[name] : "");
    const number = (name: string) => (typeof fields[name] === "number" ? fields[name] : null);
    const named = (name: string) => this.of(fields[name] as RecordRef | undefined);
    const slot = number("slotMin") ?? number("dueSlotMin");
    const day = number("day") ?? number("dueDay") ?? number("firstDay");
    const at = [slot === null ? "" : clock(slot), day === null ? "" : dayText(day)];
    const joined = (...parts: string[]) => parts.filter((part) => part !== "").join(", ");

    switch (view.kind) {
      case kind.portion:
        return joined(await named("food"), await named("meal"));
      case kind.administration:
        return joined(kindWord(view.kind), await named("order"), ...at);
      case kind.treatmentOrder:
        return joined(text("preparation"), await named("animal"));
      case kind.lot:
        return joined(text("code"), await named("food"));
      case kind.code:
        return joined(text("code"), text("meaning"));
      case kind.tag:
        return joined(text("code"), await named("animal"));
      default:
        break;
    }
    if (text("name") !== "") return text("name");
    const whose =
      view.areaName ||
      (await named("animal")) ||
      (await named("subject")) ||
      (await named("pool")) ||
      (await named("lot")) ||
      (await named("enricher"));
    return joined(kindWord(view.kind), whose, ...at) + (whose === "" && day === null ? ` ${id}` : "");
  }

  // The record of these kinds that is called so: by its own name, in any case; else the one whose name begins so. Throws
  // what is wrong, in words.
  async find(kinds: Kind[], text: string): Promise<RecordRef> {
    const wanted = text.trim().toLocaleLowerCase();
    const byId = /^([0-9a-f]{16})\.(\d+)$/.exec(wanted);
    if (byId) return create(RecordRefSchema, { log: BigInt(`0x${byId[1] ?? "0"}`), seq: Number(byId[2]) });
    const found = (await Promise.all(kinds.map((one) => this.options(one)))).flat();
    const named = found.map((one) => ({ ...one, name: one.ownName.toLocaleLowerCase() }));
    const exact = named.filter((one) => one.name === wanted);
    const fits = exact.length > 0 ? exact : named.filter((one) => one.name.startsWith(wanted));
    const kindWords = kinds.map((one) => kindWord(one)).join(", ");
    if (fits.length > 1)
      throw new Error(words.typing.severalFound(text, fits.map((one) => one.title).join("; ")));
    if (!fits[0]) throw new Error(words.typing.notFound(text, kindWords));
    return fits[0].value;
  }

  // Records of a kind that are in account, to choose from.
  options(one: Kind): Promise<Named[]> {
    const known = this.lists.get(one) ?? this.list(one);
    this.lists.set(one, known);
    return known;
  }
  private async list(one: Kind): Promise<Named[]> {
    const found: Named[] = [];
    let after: RecordRef | undefined;
    for (;;) {
      const page = await this.client.ask(
        { case: "list", value: { kind: one, allSubjects: true, ...(after ? { after } : {}) } },
        "list",
      );
      for (const view of page.records) {
        after = view.record;
        if (!view.record || view.struck || view.foldedInto) continue;
        const key = recordKey(view.record);
        this.views.set(key, Promise.resolve(view));
        const ownName = ownNameOf(view);
        found.push({ key, title: await this.ofView(view), ownName, value: view.record });
      }
      if (!page.more) break;
    }
    return found.sort((a, b) => a.title.localeCompare(b.title, words.language, { numeric: true }));
  }
}
