// The way to the hub: the one this page was served by, by fetch, over the TLS of the browser.
import { create, fromBinary, toBinary } from "@bufbuild/protobuf";
import type { RecordRef } from "../proto/change_pb";
import {
  BlobHeldSchema,
  BlobsReplySchema,
  BlobsRequestSchema,
  ErrorReplySchema,
  NewsReplySchema,
  SessionReplySchema,
} from "../proto/exchange_pb";
import { bytesOf, fromHex } from "./bytes";
import { CallSchema, ReplySchema } from "../proto/call_pb";
import { type HeldFile, sha256 } from "./file_store";
import { InviteReplySchema, InviteRequestSchema } from "../proto/invite_pb";
import { CallFailed, errorCode, type HubPath, type Invitation } from "./messages";
import type { Core } from "./module";

const answerMs = 120_000;
const blobProtocol = 1;
const blobsAskedAtOnce = 1024; // The hub takes no more in one request.

class NoSession extends CallFailed {}

interface Request {
  method: "POST" | "PUT" | "GET";
  body?: Blob | Uint8Array<ArrayBuffer>;
  headers?: Record<string, string>;
}

async function ask(path: string, request: Request, authorization?: string): Promise<Blob> {
  let answer: Response;
  let body: Blob;
  try {
    answer = await fetch(path, {
      method: request.method,
      ...(request.body === undefined ? {} : { body: request.body }),
      headers: {
        ...request.headers,
        ...(authorization === undefined ? {} : { Authorization: authorization }),
      },
      cache: "no-store",
      credentials: "omit",
      redirect: "error",
      signal: AbortSignal.timeout(answerMs),
    });
    body = await answer.blob();
  } catch {
    throw new CallFailed(errorCode.transport, "");
  }
  if (answer.ok) return body;
  if (answer.headers.get("Content-Type") !== messageType) throw new CallFailed(errorCode.transport, "");
  const reply = fromBinary(ErrorReplySchema, await bytesOf(body));
  // Only a refusal for want of a session asks for one.
  if (answer.headers.has("WWW-Authenticate")) throw new NoSession(reply.code, reply.message);
  throw new CallFailed(reply.code, reply.message);
}

const messageType = "application/x-protobuf";

const posted = (body: Uint8Array<ArrayBuffer>): Request => ({
  method: "POST",
  body,
  headers: { "Content-Type": messageType },
});
async function postOutside(path: string, body: Uint8Array<ArrayBuffer>): Promise<Uint8Array<ArrayBuffer>> {
  return bytesOf(await ask(path, posted(body)));
}

export class Hub {
  private token = "";

  constructor(private readonly core: Core) {}

  async enrol(code: string, deviceName: string): Promise<Uint8Array<ArrayBuffer>> {
    return postOutside("/v1/enrol", this.core.enrolRequest(code, deviceName));
  }

  // Opens a session when there is none, and once more when the hub has forgotten it.
  private async askInSession(path: string, request: Request): Promise<Blob> {
    if (this.token === "") await this.openSession();
    try {
      return await ask(path, request, await this.authorize(path, request));
    } catch (error) {
      if (!(error instanceof NoSession)) throw error;
      await this.openSession();
      return ask(path, request, await this.authorize(path, request));
    }
  }
  // The header that shows that this tablet asks: one for each request.
  private async authorize(path: string, request: Request): Promise<string> {
    const value = {
      token: this.token,
      method: request.method,
      path,
      range: request.headers?.["Range"] ?? request.headers?.["Content-Range"] ?? "",
      bodySha256: await sha256(new Blob(request.body === undefined ? [] : [request.body])),
    };
    const call = create(CallSchema, { what: { case: "authorize", value } });
    const reply = fromBinary(ReplySchema, this.core.call(toBinary(CallSchema, call)));
    if (reply.what.case !== "authorize")
      throw new CallFailed(reply.failure?.code ?? 0, reply.failure?.message ?? "");
    return reply.what.value.header;
  }
  private async inSession(path: string, body: Uint8Array<ArrayBuffer>): Promise<Uint8Array<ArrayBuffer>> {
    return bytesOf(await this.askInSession(path, posted(body)));
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

  async post(path: HubPath, request: Uint8Array<ArrayBuffer>): Promise<Uint8Array<ArrayBuffer>> {
    return this.inSession(path, request);
  }

  async exchange(request: Uint8Array<ArrayBuffer>): Promise<Uint8Array<ArrayBuffer>> {
    return this.inSession("/v1/exchange", request);
  }

  // Whether the hub holds something new; it answers when it does, or after a while.
  async news(request: Uint8Array<ArrayBuffer>): Promise<boolean> {
    return fromBinary(NewsReplySchema, await this.inSession("/v1/news", request)).isNews;
  }

  // How much of each the hub has, in the order asked.
  async heldFiles(names: string[]): Promise<HeldFile[]> {
    const held: HeldFile[] = [];
    for (let at = 0; at < names.length; at += blobsAskedAtOnce) {
      const sha256 = names.slice(at, at + blobsAskedAtOnce).map(fromHex);
      const request = toBinary(
        BlobsRequestSchema,
        create(BlobsRequestSchema, { protocol: blobProtocol, sha256 }),
      );
      const { blobs } = fromBinary(
        BlobsReplySchema,
        await this.inSession("/v1/blobs", request as Uint8Array<ArrayBuffer>),
      );
      if (blobs.length !== sha256.length) throw new CallFailed(errorCode.transport, "");
      held.push(...blobs.map(({ bytes, whole }) => ({ bytes: Number(bytes), whole })));
    }
    return held;
  }
  async readFile(name: string, offset: number, count: number): Promise<Blob> {
    const headers = { Range: `bytes=${offset}-${offset + count - 1}` };
    return this.askInSession(`/v1/blob/${name}`, { method: "GET", headers });
  }
  async writeFile(name: string, offset: number, total: number, part: Blob): Promise<HeldFile> {
    const headers = {
      "Content-Type": "application/octet-stream",
      "Content-Range": `bytes ${offset}-${offset + part.size - 1}/${total}`,
    };
    const answer = await this.askInSession(`/v1/blob/${name}`, { method: "PUT", body: part, headers });
    const { bytes, whole } = fromBinary(BlobHeldSchema, await bytesOf(answer));
    return { bytes: Number(bytes), whole };
  }

  private async openSession(): Promise<void> {
    this.token = "";
    const challenge = fromBinary(
      SessionReplySchema,
      await postOutside("/v1/session", this.core.sessionRequest(new Uint8Array())),
    );
    const opened = fromBinary(
      SessionReplySchema,
      await postOutside("/v1/session", this.core.sessionRequest(challenge.nonce)),
    );
    this.token = opened.token;
  }
}
