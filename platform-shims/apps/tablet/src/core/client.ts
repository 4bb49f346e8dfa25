// Screens speak to this: the one call with its messages, in the name of who is signed in.
import { create, fromBinary, type MessageInitShape, toBinary } from "@bufbuild/protobuf";
import { type Call, CallSchema, type Reply, ReplySchema } from "../proto/call_pb";
import type { RecordRef } from "../proto/change_pb";
import { type ActReply, ActReplySchema, ActRequestSchema, ChoosePinRequestSchema } from "../proto/proving_pb";
import { words } from "../words/words";
import type { HeldFile } from "./file_store";
import {
  type Ask,
  CallFailed,
  errorCode,
  type Exchanged,
  type FilesHere,
  type FilesSent,
  type Invitation,
  type KeptFile,
  type Started,
} from "./messages";
import { Owner } from "./owner";
import { problemText } from "./problems";

type CallInit = MessageInitShape<typeof CallSchema>;
export type What = NonNullable<CallInit["what"]>;
type Replied<Case> = Extract<Reply["what"], { case: Case }>["value"];

export interface Person {
  record: RecordRef;
  name: string;
  session: Uint8Array; // Empty for somebody without a PIN.
}

const none = new Uint8Array();

export class Client {
  private readonly owner = new Owner();
  person: Person | null = null;
  // Asks who is signed in for their PIN; null when they would rather not.
  askPin: (name: string) => Promise<string | null> = () => Promise.resolve(null);
  private pinOnce: string | null = null;
  // Told when the records have changed, by whomever.
  set onChanged(tell: () => void) {
    this.owner.onChanged = tell;
  }

  set onHalted(tell: () => void) {
    this.owner.onHalted = tell;
  }

  // Ends the session, here and in the core; what was written stays.
  async signOut(): Promise<void> {
    const token = this.person?.session;
    this.person = null;
    if (token?.length) await this.ask({ case: "signOut", value: { token } }, "signOut");
  }

  start(): Promise<Started> {
    return this.asked({ op: "start" }) as Promise<Started>;
  }
  async enrol(code: string, deviceName: string, hubKey: Uint8Array): Promise<void> {
    await this.asked({ op: "enrol", code, deviceName, hubKey });
  }
  async exchange(): Promise<Exchanged> {
    const done = (await this.asked({ op: "exchange" })) as Exchanged;
    if (done.received > 0 || done.sent > 0) this.owner.tellChanged();
    return done;
  }

  // Resolves when the hub holds something new (true), or has waited long enough; an exchange brings what it is.
  async news(): Promise<boolean> {
    return (await this.asked({ op: "news" })) as boolean;
  }

  // A one-time code for another device, for an admin who is signed in and gives the PIN once more; the hub checks both.
  // The link opens this app on that device with the code filled in.
  async invite(pin: string): Promise<Invitation & { link: string }> {
    if (!this.person) throw new CallFailed(errorCode.unauthorized, words.nobodyHere);
    const made = (await this.asked({ op: "invite", admin: this.person.record, pin })) as Invitation;
    return { ...made, link: `${location.origin}/#code=${made.code}` };
  }

  // Opens a session for somebody with a PIN. The tablet itself checks the PIN of whom it knows; the hub that of anybody else, and then
  // the tablet knows it too. `unproven` is told when the hub, which should know, could not be asked meanwhile.
  async signIn(
    person: RecordRef,
    name: string,
    pin: string,
    unproven: (error: unknown) => void,
  ): Promise<Person> {
    const bytes = new TextEncoder().encode(pin);
    const open = () =>
      this.ask(
        { case: "signIn", value: { person, pin: bytes, insteadOf: this.person?.session ?? none } },
        "signIn",
      );
    let reply: Awaited<ReturnType<typeof open>>;
    try {
      reply = await open();
    } catch (error) {
      if (!(error instanceof CallFailed) || error.code !== errorCode.notFound) throw error;
      await this.prove(person, bytes);
      reply = await open();
    }
    // Nobody waits for the hub: it may be out of reach, and care counts without it.
    if (reply.prove) void this.prove(person, bytes).catch(unproven);
    return { record: person, name, session: reply.token };
  }

  // Proves to the hub who is at this tablet.
  private async prove(person: RecordRef, pin: Uint8Array): Promise<void> {
    const { request } = await this.ask({ case: "prove", value: { person, pin } }, "prove");
    await this.asked({ op: "post", path: "/v1/presence", request });
    await this.exchange();
  }

  // Another PIN, with the one so far or a one-time code.
  async choosePin(person: RecordRef, secret: string, fresh: string): Promise<void> {
    const encoder = new TextEncoder();
    const request = create(ChoosePinRequestSchema, {
      person,
      secret: encoder.encode(secret),
      newPin: encoder.encode(fresh),
    });
    await this.asked({ op: "post", path: "/v1/pin", request: toBinary(ChoosePinRequestSchema, request) });
    await this.exchange();
  }

  // A one-time code by which somebody chooses a PIN; for an admin, whose PIN is asked for.
  async givePinCode(person: RecordRef): Promise<Invitation> {
    this.pinOnce = null;
    const reply = await this.act({ case: "pinCodeFor", value: person });
    this.pinOnce = null;
    if (reply.what.case !== "pinCode") throw new CallFailed(0, words.otherAnswer);
    return { code: reply.what.value, expiresMs: Number(reply.expiresMs) };
  }

  // Has the hub write something in the name of who is signed in, with the PIN; it is here when this resolves.
  private async act(what: NonNullable<MessageInitShape<typeof ActRequestSchema>["what"]>): Promise<ActReply> {
    if (!this.person) throw new CallFailed(errorCode.unauthorized, words.nobodyHere);
    const pin = this.pinOnce ?? (await this.askPin(this.person.name));
    if (pin === null) throw new CallFailed(errorCode.atHub, words.atHub.notDone);
    const request = create(ActRequestSchema, {
      person: this.person.record,
      pin: new TextEncoder().encode(pin),
      what,
    });
    const answer = (await this.asked({
      op: "post",
      path: "/v1/act",
      request: toBinary(ActRequestSchema, request),
    })) as Uint8Array;
    this.pinOnce = pin;
    await this.exchange();
    return fromBinary(ActReplySchema, answer);
  }

  // Attached files: what each does stands in messages.ts and attached_files.ts.
  async keepFile(content: Blob): Promise<KeptFile> {
    return (await this.asked({ op: "file-keep", content })) as KeptFile;
  }
  async dropFile(name: string): Promise<void> {
    await this.asked({ op: "file-drop", name });
  }
  async readFile(name: string): Promise<File | null> {
    return (await this.asked({ op: "file-read", name })) as File | null;
  }
  async thumbnail(name: string): Promise<Blob | null> {
    return (await this.asked({ op: "file-thumbnail", name })) as Blob | null;
  }
  async fetchFilePart(name: string, bytes: number): Promise<HeldFile> {
    return (await this.asked({ op: "file-fetch", name, bytes })) as HeldFile;
  }
  async sendFilePart(): Promise<FilesSent> {
    return (await this.asked({ op: "files-send" })) as FilesSent;
  }
  async filesHere(): Promise<FilesHere> {
    return (await this.asked({ op: "files-here" })) as FilesHere;
  }
  async makeRoom(): Promise<FilesHere> {
    return (await this.asked({ op: "files-make-room" })) as FilesHere;
  }

  // Asks; the reply is of the case that answers. Throws CallFailed.
  async ask<Case extends NonNullable<Reply["what"]["case"]>>(
    what: What,
    answered: Case,
  ): Promise<Replied<Case>> {
    const reply = await this.send(
      create(CallSchema, { what, session: this.person?.session ?? new Uint8Array() }),
    );
    return this.part(reply, answered);
  }

  // Writes in the name of who is signed in. When the core asks "really?", it throws CallFailed with the questions in
  // its reply, and nothing is written; sent again with `confirmed` it is.
  async write<Case extends NonNullable<Reply["what"]["case"]>>(
    what: What,
    answered: Case,
    confirmed?: CallInit["confirmed"],
  ): Promise<Replied<Case>> {
    const part = await this.look(what, answered, confirmed);
    this.owner.tellChanged();
    return part;
  }

  // Makes a writing call that only looks this time: nothing has changed afterwards.
  async look<Case extends NonNullable<Reply["what"]["case"]>>(
    what: What,
    answered: Case,
    confirmed?: CallInit["confirmed"],
  ): Promise<Replied<Case>> {
    if (!this.person) throw new CallFailed(errorCode.unauthorized, words.nobodyHere);
    const call = create(CallSchema, {
      author: this.person.record,
      session: this.person.session,
      what,
      ...(confirmed ? { confirmed } : {}),
    });
    try {
      const reply = await this.send(call, true);
      return this.part(reply, answered);
    } catch (error) {
      if (!(error instanceof CallFailed) || error.code !== errorCode.atHub) throw error;
      return this.part(await this.writeAtHub(call), answered);
    }
  }

  // A PIN serves one thing that a person does: the call, and once more with its questions confirmed.
  private async writeAtHub(call: Call): Promise<Reply> {
    if (!call.confirmed) this.pinOnce = null;
    const { what } = await this.act({ case: "call", value: toBinary(CallSchema, call) });
    if (what.case !== "reply") throw new CallFailed(0, words.otherAnswer);
    const reply = fromBinary(ReplySchema, what.value);
    if (reply.failure?.code !== errorCode.unconfirmed) this.pinOnce = null;
    return this.checked(reply);
  }

  private part<Case extends NonNullable<Reply["what"]["case"]>>(reply: Reply, answered: Case): Replied<Case> {
    if (reply.what.case !== answered) throw new CallFailed(0, words.otherAnswer);
    return reply.what.value as Replied<Case>;
  }
  private async asked(ask: Ask): Promise<unknown> {
    try {
      return await this.owner.ask(ask);
    } catch (error) {
      if (!(error instanceof CallFailed) || error.message !== "") throw error;
      const said: Partial<Record<number, string>> = {
        [errorCode.transport]: words.noHub,
        [errorCode.halted]: words.device.halted,
        [errorCode.otherHub]: words.enrolOtherHub,
        [errorCode.malformed]: words.files.otherFile,
        [errorCode.tooLarge]: words.files.tooLarge,
        [errorCode.invalid]: words.files.notTaken,
        [errorCode.notFound]: words.files.notThere,
        [errorCode.diskFull]: words.files.noRoom,
      };
      throw new CallFailed(error.code, said[error.code] ?? words.otherAnswer);
    }
  }
  private async send(call: Call, writes = false): Promise<Reply> {
    const bytes = (await this.asked({
      op: "call",
      call: toBinary(CallSchema, call),
      writes,
    })) as Uint8Array;
    return this.checked(fromBinary(ReplySchema, bytes));
  }
  private checked(reply: Reply): Reply {
    if (!reply.failure) return reply;
    const { code, message, problems } = reply.failure;
    throw new CallFailed(code, problems.length > 0 ? problems.map(problemText).join(" ") : message, reply);
  }
}
