/* A program of another project, in C: opens a database and plays a file of calls to it, writing what is answered.
 *
 *   consumer_c DATABASE KEY CALLS > ANSWERS
 *
 * KEY holds the 32 bytes of an Ed25519 private key. Calls and answers are each 4 bytes of size, lowest first, and the message. */
#include <openssl/evp.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <wrackline.h>

struct device {
  EVP_PKEY* key;
  uint64_t now_ms;
  wrackline_core* core;
  int was_refused; /* The answer of the core to a call made while it was asking for this signature. */
};

/* A failure is a Reply, whose text can be read even without protobuf. */
static int says(wrackline_bytes answer, const char* words) {
  size_t i, size = strlen(words);
  for (i = 0; i + size <= answer.size; ++i) {
    if (memcmp(answer.data + i, words, size) == 0) return 1;
  }
  return 0;
}

static int sign(void* context, const uint8_t* text, size_t size, uint8_t signature[64]) {
  struct device* device = context;
  size_t signature_size = 64;
  wrackline_bytes answer = wrackline_call(device->core, (const uint8_t*)"", 0);
  EVP_MD_CTX* md = EVP_MD_CTX_new();
  int good = md != NULL && EVP_DigestSignInit(md, NULL, NULL, NULL, device->key) == 1 &&
             EVP_DigestSign(md, signature, &signature_size, text, size) == 1;
  EVP_MD_CTX_free(md);
  device->was_refused = says(answer, "in a call on it; nothing was done");
  wrackline_free(answer);
  return good;
}

/* The same on every run, so that answers can be compared. */
static uint64_t wall_clock_ms(void* context) {
  struct device* device = context;
  return device->now_ms += 1000;
}

static int read_size(FILE* file, size_t* size) {
  unsigned char bytes[4];
  if (fread(bytes, 1, 4, file) != 4) return 0;
  *size = (size_t)bytes[0] | (size_t)bytes[1] << 8 | (size_t)bytes[2] << 16 | (size_t)bytes[3] << 24;
  return 1;
}

static void write_answer(wrackline_bytes bytes) {
  size_t i;
  for (i = 0; i < 4; ++i) putchar((int)(bytes.size >> (8 * i) & 0xff));
  fwrite(bytes.data, 1, bytes.size, stdout);
}

static int stop(const char* why) {
  fprintf(stderr, "consumer_c: %s\n", why);
  return 1;
}

int main(int argc, char** argv) {
  unsigned char weak[32];
  unsigned char secret[32];
  size_t key_size = 32, size;
  struct device device = {NULL, 1790000000000u, NULL, 0};
  wrackline_platform platform;
  wrackline_core* core = NULL;
  wrackline_bytes answer;
  FILE* file;

  if (argc != 4) return stop("DATABASE KEY CALLS");
  file = fopen(argv[2], "rb");
  if (file == NULL || fread(secret, 1, sizeof secret, file) != sizeof secret) return stop("no key");
  fclose(file);
  device.key = EVP_PKEY_new_raw_private_key(EVP_PKEY_ED25519, NULL, secret, sizeof secret);
  if (device.key == NULL) return stop("no Ed25519 key");

  memset(&platform, 0, sizeof platform);
  platform.struct_size = sizeof platform;
  platform.context = &device;
  EVP_PKEY_get_raw_public_key(device.key, platform.public_key, &key_size);
  platform.sign = sign;
  platform.wall_clock_ms = wall_clock_ms;

  answer = wrackline_open(&platform, "/nonexistent/records.db", &core);
  if (core != NULL || !says(answer, "there is no database here")) return stop("records that are not there were opened");
  wrackline_free(answer);

  answer = wrackline_open(&platform, argv[1], &core);
  if (core == NULL) {
    fwrite(answer.data, 1, answer.size, stderr);
    return stop("the database was not opened");
  }
  wrackline_free(answer);
  device.core = core;

  file = fopen(argv[3], "rb");
  if (file == NULL) return stop("no calls");
  while (read_size(file, &size)) {
    unsigned char* call = malloc(size + 1);
    if (call == NULL || fread(call, 1, size, file) != size) return stop("the calls end in the middle of one");
    answer = wrackline_call(core, call, size);
    free(call);
    if (answer.data == NULL) return stop("no memory for an answer");
    write_answer(answer);
    wrackline_free(answer);
  }
  fclose(file);
  memset(weak, 0, sizeof weak);
  answer = wrackline_repin(core, weak);
  if (!says(answer, "anybody could sign under this one")) return stop("a key under which anybody can sign was taken for the hub's");
  wrackline_free(answer);
  wrackline_close(core);
  EVP_PKEY_free(device.key);
  if (!device.was_refused) return stop("a callback called the core that was calling it, and was not refused");
  return 0;
}
