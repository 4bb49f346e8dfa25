// This file says what this machine can do at most: the parts that no record core can be faster than. Prints JSON, for
// tests/bench/peers.
#include <fcntl.h>
#include <openssl/evp.h>
#include <unistd.h>
#include <zstd.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <vector>

namespace {

using Clock = std::chrono::steady_clock;

// How often a second, over about half a second.
template <typename Work>
double per_second(Work work) {
  const auto begun = Clock::now();
  double times = 0, passed = 0;
  for (; passed < 0.5; passed = std::chrono::duration<double>(Clock::now() - begun).count()) {
    work();
    ++times;
  }
  return times / passed;
}

void must(bool good, const char* what) {
  if (good) return;
  std::fprintf(stderr, "limits: %s failed\n", what);
  std::exit(1);
}

}  // namespace

int main() {
  std::vector<unsigned char> megabyte(1 << 20);
  unsigned state = 1;
  for (unsigned char& byte : megabyte) byte = static_cast<unsigned char>((state = state * 1664525 + 1013904223) >> 29);
  unsigned char hash[32];
  const double sha = per_second([&] {
    must(EVP_Digest(megabyte.data(), megabyte.size(), hash, nullptr, EVP_sha256(), nullptr) == 1, "SHA-256");
  });

  EVP_PKEY* key = EVP_PKEY_Q_keygen(nullptr, nullptr, "ED25519");
  must(key != nullptr, "making a key");
  unsigned char signature[64];
  std::size_t size = sizeof signature;
  EVP_MD_CTX* context = EVP_MD_CTX_new();
  must(EVP_DigestSignInit(context, nullptr, nullptr, nullptr, key) == 1 &&
           EVP_DigestSign(context, signature, &size, hash, sizeof hash) == 1,
       "signing");
  const double verify = per_second([&] {
    EVP_MD_CTX_reset(context);
    must(EVP_DigestVerifyInit(context, nullptr, nullptr, nullptr, key) == 1 &&
             EVP_DigestVerify(context, signature, size, hash, sizeof hash) == 1,
         "verifying");
  });
  EVP_MD_CTX_free(context);
  EVP_PKEY_free(key);

  std::vector<unsigned char> packed(ZSTD_compressBound(megabyte.size()));
  const double zstd = per_second([&] {
    must(!ZSTD_isError(ZSTD_compress(packed.data(), packed.size(), megabyte.data(), megabyte.size(), 3)), "zstd");
  });

  // TLS 1.3's usual cipher, the records' size that it sends.
  const unsigned char secret[32] = {}, nonce[12] = {};
  EVP_CIPHER_CTX* cipher = EVP_CIPHER_CTX_new();
  const double tls = per_second([&] {
    int n = 0;
    for (std::size_t at = 0; at < megabyte.size(); at += 16384) {
      must(EVP_EncryptInit_ex(cipher, EVP_aes_256_gcm(), nullptr, secret, nonce) == 1 &&
               EVP_EncryptUpdate(cipher, packed.data(), &n, megabyte.data() + at, 16384) == 1,
           "AES-256-GCM");
    }
  });
  EVP_CIPHER_CTX_free(cipher);

  std::string path = (std::filesystem::temp_directory_path() / "wrackline-limits-XXXXXX").string();
  const int file = mkstemp(path.data());
  must(file >= 0, "a scratch file");
  const double fsyncs = per_second([&] { must(write(file, hash, sizeof hash) == sizeof hash && fdatasync(file) == 0, "fdatasync"); });
  close(file);
  std::filesystem::remove(path);

  std::printf("{\"SHA-256 MB/s\": %.0f, \"Ed25519 verifications/s\": %.0f, \"AES-256-GCM MB/s\": %.0f, \"zstd -3 MB/s\": %.0f, "
              "\"fdatasync us\": %.0f}\n",
              sha * 1.048576, verify, tls * 1.048576, zstd * 1.048576, 1e6 / fsyncs);
}
