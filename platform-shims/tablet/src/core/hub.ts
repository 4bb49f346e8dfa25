// The way to the hub: the one this page was served by, by fetch, over the TLS of the browser.
import { create, fromBinary, toBinary } from "@bufbuild/protobuf";
import type { RecordRef } from "../proto/change_pb";
import { ErrorReplySchema, NewsReplySchema, SessionReplySchema } from "../proto/exchange_pb";
import { InviteReplySchema, InviteRequestSchema } from "../proto/invite_pb";
import { CallFailed, errorCode, type Invitation } from "./messages";
import type { Core } from "./module";

const answerMs = 120_000;

class NoSession extends CallFailed {}

async function post(
  path: string,
  body: Uint8Array<ArrayBuffer>,
  token?: string,
): Promise<Uint8Array<ArrayBuffer>> {
  let answer: Response;
  try {
    answer = await fetch(path, {
      method: "POST",
      body,
      headers: {
        "Content-Type": "application/x-protobuf",
        ...(token === undefined ? {} : { Authorization: `Bearer ${token}` }),
      },
      cache: "no-store",
      credentials: "omit",
      redirect: "error",
      signal: AbortSignal.timeout(answerMs),
    });
  } catch {
    throw new CallFailed(errorCode.transport, "");
  }
  const bytes = new Uint8Array(await answer.arrayBuffer());
  if (answer.ok) return bytes;
  if (answer.headers.get("Content-Type") !== "application/x-protobuf")
    throw new CallFailed(errorCode.transport, "");
  const reply = fromBinary(ErrorReplySchema, bytes);
  // Only a refusal for want of a session asks for one; a wrong PIN is a 401 too, and must not be tried twice.
  if (answer.headers.has("WWW-Authenticate")) throw new NoSession(reply.code, reply.message);
  throw new CallFailed(reply.code, reply.message);
}

export class Hub {
  private token = "";

  constructor(private readonly core: Core) {}

  async enrol(code: string, deviceName: string): Promise<Uint8Array<ArrayBuffer>> {
    return post("/v1/enrol", this.core.enrolRequest(code, deviceName));
  }

  // Opens a session when there is none, and once more when the hub has forgotten it.
  private async inSession(path: string, request: Uint8Array<ArrayBuffer>): Promise<Uint8Array<ArrayBuffer>> {
    if (this.token === "") await this.openSession();
    try {
      return await post(path, request, this.token);
    } catch (error) {
      if (!(error instanceof NoSession)) throw error;
      await this.openSession();
      return post(path, request, this.token);
    }
  }

  // A one-time code for another device. The hub checks the admin's PIN.
  async invite(admin: RecordRef, pin: string): Promise<Invitation> {
    const request = create(InviteRequestSchema, { admin, pin: new TextEncoder().encode(pin) });
    const reply = fromBinary(
      InviteReplySchema,
      await this.inSession("/v1/invite", toBinary(InviteRequestSchema, request) as Uint8Array<ArrayBuffer>),
    );
    return { code: reply.code, expiresMs: Number(reply.expiresMs) };
  }

  async exchange(request: Uint8Array<ArrayBuffer>): Promise<Uint8Array<ArrayBuffer>> {
    return this.inSession("/v1/exchange", request);
  }

  // Whether the hub holds something new; it answers when it does, or after a while.
  async news(request: Uint8Array<ArrayBuffer>): Promise<boolean> {
    return fromBinary(NewsReplySchema, await this.inSession("/v1/news", request)).isNews;
  }

  private async openSession(): Promise<void> {
    this.token = "";
    const challenge = fromBinary(
      SessionReplySchema,
      await post("/v1/session", this.core.sessionRequest(new Uint8Array())),
    );
    const opened = fromBinary(
      SessionReplySchema,
      await post("/v1/session", this.core.sessionRequest(challenge.nonce)),
    );
    this.token = opened.token;
  }
}
