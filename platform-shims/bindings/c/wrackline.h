/* The record core for any language that can call C: open it, call it, let it go.
 *
 * Calls and answers are the messages of proto/call.proto, serialised: a Call goes in, a Reply comes out, and whatever fails is
 * a Reply that holds a Failure (its code, and a sentence that says what was kept and what to do). So a binding writes these few
 * functions once, and knows every call of every release.
 *
 * Ownership: what a function returns as wrackline_bytes is the caller's, who gives it to wrackline_free(). What is passed in is read
 * during the function only, but for the platform's callbacks and their context, which have to outlive the core.
 *
 * Threads: a core is for one thread at a time, whichever it is. A call that comes while another runs on the same core answers with
 * code 44 (busy) and does nothing. Several cores on several databases may run side by side; callbacks run on the caller's thread.
 *
 * Callbacks return, and in no other way: an exception of C++ or of another language, or a longjmp, that went through the functions of
 * the core would leave its records locked and its memory lost, so a binding catches what its app throws and returns 0. They must not
 * call the core that calls them (code 44, and nothing is done) and must not close it.
 *
 * Errors: no function aborts or throws. When there is no memory for an answer its `data` is null.
 *
 * Stability: symbols are added and never taken away or changed within a major release; wrackline_platform grows at its end. */
#ifndef WRACKLINE_H
#define WRACKLINE_H

#include <stddef.h>
#include <stdint.h>

#if defined(__GNUC__)
#define WRACKLINE_API __attribute__((visibility("default")))
#else
#define WRACKLINE_API
#endif

#ifdef __cplusplus
extern "C" {
#endif

/* One open database with its device's key. */
typedef struct wrackline_core wrackline_core;

typedef struct wrackline_bytes {
  uint8_t* data; /* Null when there was no memory; not null when size is 0. */
  size_t size;
} wrackline_bytes;

/* The platform gives these. */
typedef struct wrackline_platform {
  size_t struct_size; /* sizeof(wrackline_platform), as the caller was compiled. */
  void* context;      /* Handed back to each callback. */

  /* The device's Ed25519 key (RFC 8032). The private half stays wherever the platform keeps it best. */
  uint8_t public_key[32];
  /* Signs `size` bytes with it. 1: done. 0: it cannot now; what is logged is kept, and can leave the device when it can. */
  int (*sign)(void* context, const uint8_t* text, size_t size, uint8_t signature[64]);

  /* Milliseconds since 1970 in UTC, as this device believes. It may be wrong and may jump. Null: the system's. */
  uint64_t (*wall_clock_ms)(void* context);

  /* How far the log has gone that this device wrote last: 20 bytes kept where no backup of the database goes with them, so that a database
   * that was put back or copied is found out. 1: done. 0: nothing is there, or it could not be written. Both or none. */
  int (*read_fence)(void* context, uint8_t point[20]);
  int (*write_fence)(void* context, const uint8_t point[20]);
} wrackline_platform;

/* "0.1.0"; never null, never freed. */
WRACKLINE_API const char* wrackline_version(void);

/* Opens the database at `path` (UTF-8; -wal and -shm stand beside it). Code 20 (not found): there is none yet; enrol this device with its
 * hub, then wrackline_create() it. No bytes (size 0) when it is open; `core` is set then, and null otherwise. */
WRACKLINE_API wrackline_bytes wrackline_open(const wrackline_platform* platform, const char* path, wrackline_core** core);

/* Makes a database from what the hub answered to the enrolment, byte for byte. `device_name` is what people call this device. As
 * wrackline_open() otherwise. It never writes over a file. */
WRACKLINE_API wrackline_bytes wrackline_create(const wrackline_platform* platform, const char* path, const uint8_t* enrol_reply,
                                               size_t size, const char* device_name, wrackline_core** core);

/* The body of POST /v1/enrol of a hub (Content-Type application/x-protobuf), for a one-time code. A failure is answered by a Reply as
 * everywhere, told by `*failed`, which is set to 1 then and to 0 otherwise. */
WRACKLINE_API wrackline_bytes wrackline_enrol_request(const wrackline_platform* platform, const char* code, const char* device_name,
                                                      int* failed);

/* The bodies of POST /v1/session: first without a nonce (size 0), then with the one that was answered (SessionReply in
 * proto/exchange.proto). With its token the call `authorize` (proto/call.proto) makes the header Authorization of each POST /v1/exchange. */
WRACKLINE_API wrackline_bytes wrackline_session_request(wrackline_core* core, const uint8_t* nonce, size_t size, int* failed);

/* A serialised Call in, a serialised Reply out. A reply to a call that writes means that its changes are durable. */
WRACKLINE_API wrackline_bytes wrackline_call(wrackline_core* core, const uint8_t* call, size_t size);

/* Takes another key for the hub's, after a person has compared it with what an admin reads from the hub (ExchangeStep.unknown_hub_key,
 * 32 bytes): for a hub whose key was lost. Records signed under the key before stay as they are. No bytes (size 0) when it is done;
 * otherwise a Reply with the failure, and nothing was changed. */
WRACKLINE_API wrackline_bytes wrackline_repin(wrackline_core* core, const uint8_t hub_key[32]);

/* Null is allowed. */
WRACKLINE_API void wrackline_free(wrackline_bytes bytes);

/* Ends it; no call may run on it. Null is allowed. */
WRACKLINE_API void wrackline_close(wrackline_core* core);

#ifdef __cplusplus
}
#endif

#endif
