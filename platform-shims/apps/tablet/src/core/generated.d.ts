declare module "*/generated/wrackline-core.mjs" {
  export interface CoreModule {
    HEAPU8: Uint8Array;
    _malloc(size: number): number;
    _free(place: number): void;
    _wrackline_reply_size(): number;
    _wrackline_open(): number;
    _wrackline_create(reply: number, size: number, name: number, nameSize: number): number;
    _wrackline_call(call: number, size: number): number;
    _wrackline_media_type(content: number, size: number): number;
    _wrackline_enrol_request(code: number, size: number, name: number, nameSize: number): number;
    _wrackline_session_request(nonce: number, size: number): number;
  }
  export default function createModule(given: object): Promise<CoreModule>;
}
