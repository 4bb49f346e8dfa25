#include "hosts/file_keystore.h"

#include <openssl/bio.h>
#include <openssl/crypto.h>
#include <openssl/evp.h>
#include <openssl/pem.h>

#include "hosts/freer.h"
#include "hosts/private_file.h"

namespace wrackline {
namespace {

constexpr std::size_t kKeyFileBytesMax = 4096;  // A PEM Ed25519 key is 119 bytes; people add comments.

using BioPtr = std::unique_ptr<BIO, Freer<BIO_free_all>>;
using DigestContextPtr = std::unique_ptr<EVP_MD_CTX, Freer<EVP_MD_CTX_free>>;

// A key file asks for no passphrase: nobody sits at the hub when it starts.
int no_passphrase(char*, int, int, void*) { return -1; }

}  // namespace

struct FileKeystore::Key {
  std::unique_ptr<EVP_PKEY, Freer<EVP_PKEY_free>> pkey;
};

FileKeystore::FileKeystore(std::unique_ptr<Key> key) : key_(std::move(key)) {}
FileKeystore::~FileKeystore() = default;

Result<std::unique_ptr<FileKeystore>> FileKeystore::of_key(std::unique_ptr<Key> key,
                                                           const std::string& path) {
  std::unique_ptr<FileKeystore> store(new FileKeystore(std::move(key)));
  std::size_t size = store->public_key_.size();
  EVP_PKEY* pkey = store->key_->pkey.get();
  if (pkey == nullptr || EVP_PKEY_get_base_id(pkey) != EVP_PKEY_ED25519 ||
      EVP_PKEY_get_raw_public_key(pkey, store->public_key_.data(), &size) != 1 ||
      size != store->public_key_.size()) {
    return fail(ErrorCode::kKeystore,
                "reading the device key " + path +
                    ": it holds no Ed25519 key in PEM form; restore it from where it was kept, or "
                    "enrol this device anew");
  }
  return store;
}

Result<std::unique_ptr<FileKeystore>> FileKeystore::create(const std::string& path) {
  auto key = std::make_unique<Key>();
  key->pkey.reset(EVP_PKEY_Q_keygen(nullptr, nullptr, "ED25519"));
  // The secure heap, when there is one, and wiped when freed in any case.
  const BioPtr bio(BIO_new(BIO_s_secmem()));
  if (!key->pkey || !bio ||
      PEM_write_bio_PKCS8PrivateKey(bio.get(), key->pkey.get(), nullptr, nullptr, 0, nullptr, nullptr) != 1) {
    return fail(ErrorCode::kKeystore,
                "making the device key " + path + ": no key could be drawn; nothing was written");
  }
  char* pem = nullptr;
  const long pem_bytes = BIO_get_mem_data(bio.get(), &pem);
  WRACKLINE_TRY(create_private_file(path, {pem, static_cast<std::size_t>(pem_bytes)}));
  return of_key(std::move(key), path);
}

Result<std::unique_ptr<FileKeystore>> FileKeystore::open(const std::string& path) {
  WRACKLINE_TRY_VALUE(pem, read_private_file(path, kKeyFileBytesMax));
  const BioPtr bio(BIO_new_mem_buf(pem.data(), static_cast<int>(pem.size())));
  auto key = std::make_unique<Key>();
  if (bio) key->pkey.reset(PEM_read_bio_PrivateKey(bio.get(), nullptr, no_passphrase, nullptr));
  OPENSSL_cleanse(pem.data(), pem.size());
  return of_key(std::move(key), path);
}

PublicKey FileKeystore::public_key() const { return public_key_; }

Result<Signature> FileKeystore::sign(ByteView text) {
  const DigestContextPtr context(EVP_MD_CTX_new());
  Signature signature;
  std::size_t size = signature.size();
  if (!context || EVP_DigestSignInit(context.get(), nullptr, nullptr, nullptr, key_->pkey.get()) != 1 ||
      EVP_DigestSign(context.get(), signature.data(), &size,
                     reinterpret_cast<const unsigned char*>(text.data()), text.size()) != 1 ||
      size != signature.size()) {
    return fail(ErrorCode::kKeystore,
                "signing with the device key: the key could not be used; nothing was sent");
  }
  return signature;
}

}  // namespace wrackline
