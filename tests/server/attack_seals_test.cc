// Goal: nobody is let in, and nothing is kept, by a signature that fits its equation and proves nothing: one
// with R = the identity, or under a key of small order. Method: both are made from the private key of a real
// device, which is the thief's, and it is checked that the library alone would take them; then they are shown
// at each door.
#include <exchange.pb.h>
#include <openssl/bn.h>
#include <openssl/evp.h>
#include <openssl/pem.h>

#include <catch2/catch.hpp>
#include <fstream>

#include "attack_world.h"
#include "base/wire.h"
#include "crypto/signature_equation.h"
#include "hosts/system_clock.h"
#include "log/change.h"
#include "log/change_run.h"
#include "model/kinds.h"
#include "support/made_log.h"
#include "sync/exchange.h"
#include "sync/hub_requests.h"

using namespace wrackline;

namespace {

using Number = std::unique_ptr<BIGNUM, decltype(&BN_free)>;

constexpr PublicKey kIdentity = {1};  // The point that changes no sum: x = 0, y = 1.

Number number(ByteView little_endian) {
  return {BN_lebin2bn(reinterpret_cast<const unsigned char*>(little_endian.data()),
                      static_cast<int>(little_endian.size()), nullptr),
          BN_free};
}

Bytes sha512(ByteView text) {
  Bytes out(64, '\0');
  REQUIRE(EVP_Digest(text.data(), text.size(), reinterpret_cast<unsigned char*>(out.data()), nullptr,
                     EVP_sha512(), nullptr) == 1);
  return out;
}

// a of RFC 8032, section 5.1.5, of the key in a file: the public key is a B.
Number scalar_of(const std::string& key_file) {
  std::ifstream file(key_file);
  const std::string pem((std::istreambuf_iterator<char>(file)), {});
  const std::unique_ptr<BIO, decltype(&BIO_free)> bio(
      BIO_new_mem_buf(pem.data(), static_cast<int>(pem.size())), BIO_free);
  const std::unique_ptr<EVP_PKEY, decltype(&EVP_PKEY_free)> key(
      PEM_read_bio_PrivateKey(bio.get(), nullptr, nullptr, nullptr), EVP_PKEY_free);
  Bytes seed(32, '\0');
  std::size_t size = seed.size();
  REQUIRE(key);
  REQUIRE(EVP_PKEY_get_raw_private_key(key.get(), reinterpret_cast<unsigned char*>(seed.data()), &size) == 1);
  Bytes a = sha512(seed).substr(0, 32);
  a[0] = static_cast<char>(a[0] & 0xf8);
  a[31] = static_cast<char>((a[31] & 0x3f) | 0x40);
  return number(a);
}

// Signs what the equation takes and the rule does not.
class EdgeKeystore : public Keystore {
 public:
  // Under the thief's own key: R is the identity, and S = h a.
  static EdgeKeystore with_identity_as_r(const std::string& key_file, const PublicKey& key) {
    return {key_file, key, kIdentity};
  }
  // Under a key of small order, here always the identity: R is the thief's own key, and S = a, whatever the
  // text is.
  static EdgeKeystore with_small_key(const std::string& key_file, const PublicKey& own) {
    return {key_file, kIdentity, own};
  }

  PublicKey public_key() const override { return key_; }
  Result<Signature> sign(ByteView text) override {
    Number order(nullptr, BN_free), s(BN_new(), BN_free);
    BIGNUM* out = nullptr;
    REQUIRE(BN_dec2bn(&out, "7237005577332262213973186563042994240857116359379907606001950938285454250989") >
            0);  // L
    order.reset(out);
    const std::unique_ptr<BN_CTX, decltype(&BN_CTX_free)> context(BN_CTX_new(), BN_CTX_free);
    const Number h = number(sha512(Bytes(view(r_)) + Bytes(view(key_)) + Bytes(text)));
    if (key_ == kIdentity) {
      REQUIRE(BN_nnmod(s.get(), a_.get(), order.get(), context.get()) == 1);
    } else {
      REQUIRE(BN_mod_mul(s.get(), h.get(), a_.get(), order.get(), context.get()) == 1);
    }
    Signature signature;
    std::copy(r_.begin(), r_.end(), signature.begin());
    REQUIRE(BN_bn2lebinpad(s.get(), signature.data() + 32, 32) == 32);
    REQUIRE(signature_equation_holds(key_, text,
                                     signature));  // So it is the rule that refuses it, and nothing else.
    return signature;
  }

 private:
  EdgeKeystore(const std::string& key_file, const PublicKey& key, const PublicKey& r)
      : a_(scalar_of(key_file)), key_(key), r_(r) {}
  Number a_;
  PublicKey key_, r_;
};

struct SealsWorld : AttackWorld {
  SealsWorld() : AttackWorld(quick()) {}
  std::string thiefs_file() { return hub.scratch / "thief.key"; }
  PublicKey thiefs_key() { return thief->key().public_key(); }

  bool is_refused(const Result<Bytes>& answer, ErrorCode code) {
    return tried(!answer && answer.error().code == code);
  }

  // One person's change in a log of its own, sealed by `keystore`.
  bool seal_is_refused(Keystore& keystore, ErrorCode code) {
    Bytes fields;
    append_bytes_field(fields, 1, "Nobody");
    Change change;
    change.stamp = Stamp{1ull << 58};
    change.kind = static_cast<std::uint32_t>(Kind::kPerson);
    change.fields = fields;
    ChangeRun run;
    run.append(write_change(change));
    const FacilityId& facility = thief->enrolment().facility;
    MadeLog log = made_log(facility, keystore.public_key(), 1);
    proto::ExchangeRequest request;
    request.set_protocol(kProtocol);
    request.set_facility(Bytes(view(facility)));
    *request.add_segments() = made_segment(log, keystore, run);
    proto::ExchangeReply reply;
    REQUIRE(reply.ParseFromString(must(thief->post("/v1/exchange", request.SerializeAsString()))));
    return tried(reply.refusals_size() == 1 && reply.refusals(0).code() == static_cast<std::uint32_t>(code) &&
                 hub_changes() == changes_before);
  }
};

}  // namespace

TEST_CASE("a seal and a session's answer with the identity for R are refused", "[attack]") {
  SealsWorld world;
  EdgeKeystore edge = EdgeKeystore::with_identity_as_r(world.thiefs_file(), world.thiefs_key());
  CHECK(world.seal_is_refused(edge, ErrorCode::kBadSeal));
  const auto client = must(HubClient::create(world.hub.client_options()));
  const auto session = open_session(*client, world.thief->enrolment().facility, edge);
  CHECK(tried(!session && session.error().code == ErrorCode::kUnauthorized));
}

TEST_CASE("a key under which anybody can sign is not enrolled, opens no session and seals nothing",
          "[attack]") {
  SealsWorld world;
  EdgeKeystore small = EdgeKeystore::with_small_key(world.thiefs_file(), world.thiefs_key());
  const std::string code = world.hub.new_code();
  const auto client = must(HubClient::create(world.hub.client_options()));
  CHECK(world.is_refused(client->post("/v1/enrol", must(enrol_request(code, small, "anybody"))),
                         ErrorCode::kBadSeal));
  CHECK(world.is_refused(
      client->post("/v1/session", must(session_request(world.thief->enrolment().facility, small, {}))),
      ErrorCode::kUnknownDevice));
  const Status rekeyed = replace_key(*client, world.thief->session(), world.thief->enrolment().facility,
                                     world.thief->key(), small);
  CHECK(tried(!rekeyed && rekeyed.error().code == ErrorCode::kBadSeal));
  CHECK(world.seal_is_refused(small, ErrorCode::kUnknownDevice));
}
