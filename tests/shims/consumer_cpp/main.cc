// A program of another project, in C++: as consumer_c/main.c, and then a few typed calls.
//
//   consumer_cpp DATABASE KEY CALLS > ANSWERS
#include <events.pb.h>
#include <openssl/evp.h>

#include <algorithm>
#include <atomic>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <thread>
#include <wrackline.hpp>

namespace {

class TestDevice : public wrackline::Device {
 public:
  explicit TestDevice(const std::string& secret)
      : key_(EVP_PKEY_new_raw_private_key(EVP_PKEY_ED25519, nullptr, reinterpret_cast<const unsigned char*>(secret.data()), secret.size())) {}
  ~TestDevice() override { EVP_PKEY_free(key_); }
  TestDevice(const TestDevice&) = delete;

  Key public_key() const override {
    Key key{};
    std::size_t size = key.size();
    EVP_PKEY_get_raw_public_key(key_, key.data(), &size);
    return key;
  }
  std::optional<Signature> sign(std::string_view text) override {
    Signature signature{};
    std::size_t size = signature.size();
    EVP_MD_CTX* md = EVP_MD_CTX_new();
    const bool good = EVP_DigestSignInit(md, nullptr, nullptr, nullptr, key_) == 1 &&
                      EVP_DigestSign(md, signature.data(), &size, reinterpret_cast<const unsigned char*>(text.data()), text.size()) == 1;
    EVP_MD_CTX_free(md);
    return good ? std::optional<Signature>(signature) : std::nullopt;
  }
  std::uint64_t wall_clock_ms() override { return now_ms_ += 1000; }

 private:
  EVP_PKEY* key_;
  std::uint64_t now_ms_ = 1'790'000'000'000;
};

std::string read_file(const char* path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

bool expect(bool holds, const char* what) {
  if (!holds) std::fprintf(stderr, "consumer_cpp: %s\n", what);
  return holds;
}

// A question stays with the next call that writes, whatever is read in between, and with no other.
bool confirms(wrackline::Records& records) {
  wrackline::proto::ListCall animals;
  animals.set_kind(5);
  const auto list = records.list(animals);
  if (!expect(list && list->records_size() > 0, "there is an animal")) return false;
  wrackline::proto::Measure in_a_hundred_years;
  *in_a_hundred_years.mutable_animal() = list->records(0).record();
  in_a_hundred_years.set_day(57'000);
  in_a_hundred_years.set_happened_ms(57'000ull * 86'400'000);
  in_a_hundred_years.set_utc_offset_min(0);
  in_a_hundred_years.set_quantity(wrackline::proto::QUANTITY_MASS);
  in_a_hundred_years.set_value(84'300'000);
  wrackline::proto::LogCall measured;
  measured.add_records()->set_kind(10);
  measured.mutable_records(0)->set_fields(in_a_hundred_years.SerializeAsString());
  const auto asked = records.log(measured);
  if (!expect(!asked && asked.failure().code() == 25, "a measurement of the future is asked about")) return false;
  wrackline::proto::Confirmation yes;
  *yes.mutable_questions() = asked.failure().questions();
  records.confirm(yes);
  return expect(static_cast<bool>(records.status({})), "something is read in between") &&
         expect(static_cast<bool>(records.log(measured)), "what was confirmed is written") &&
         expect(!records.log(measured), "and the next is asked about anew");
}

// Two threads on the same records wait for each other; none of their calls is refused.
bool serves_two_threads(wrackline::Records& records) {
  std::atomic<int> answered = 0;
  const auto ask = [&] {
    for (int i = 0; i < 300; ++i) answered += records.status({}) ? 1 : 0;
  };
  std::thread one(ask), other(ask);
  one.join();
  other.join();
  return expect(answered == 600, "two threads are answered 600 times");
}

// A hub whose key was lost: the key that a person has compared is taken, one that anybody can sign under is not.
bool pins(wrackline::Records& records) {
  const auto weak = records.repin({});
  if (!expect(weak && weak->code() == 21, "a key under which anybody can sign is refused")) return false;
  const auto status = records.status({});
  wrackline::Device::Key known{};
  if (!expect(status && status->hub_key().size() == known.size(), "the hub's key is known")) return false;
  std::copy(status->hub_key().begin(), status->hub_key().end(), known.begin());
  return expect(!records.repin(known), "the hub's own key is pinned");
}

void show(const std::string& sentence) { std::fprintf(stderr, "%s\n", sentence.c_str()); }

// The example at the top of wrackline.hpp, as it stands there.
void as_the_header_says(TestDevice& device) {
  auto records = wrackline::Records::open(device, "records.db");
  if (!records) return show(records.failure().message());
  auto status = records->status({});
  if (!status) return show(status.failure().message());
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 4) return 2;
  TestDevice device(read_file(argv[2]));
  auto missing = wrackline::Records::open(device, "/nonexistent/records.db");
  if (!expect(!missing && missing.failure().code() == 20, "records that are not there are told as not found")) return 1;
  auto records = wrackline::Records::open(device, argv[1]);
  if (!records) return !expect(false, records.failure().message().c_str());

  const std::string calls = read_file(argv[3]);
  for (std::size_t at = 0; at + 4 <= calls.size();) {
    std::size_t size = 0;
    for (std::size_t i = 0; i < 4; ++i) size |= static_cast<std::size_t>(static_cast<unsigned char>(calls[at + i])) << (8 * i);
    wrackline::proto::Call call;
    if (!expect(call.ParseFromString(calls.substr(at + 4, size)), "the calls are calls")) return 1;
    at += 4 + size;
    const auto reply = records->call(call);
    wrackline::proto::Reply whole;
    if (reply) whole = *reply;
    else *whole.mutable_failure() = reply.failure();
    const std::string bytes = whole.SerializeAsString();
    for (int i = 0; i < 4; ++i) std::putchar(static_cast<int>(bytes.size() >> (8 * i) & 0xff));
    std::fwrite(bytes.data(), 1, bytes.size(), stdout);
  }

  const auto status = records->status({});
  if (!status) return !expect(false, status.failure().message().c_str());
  if (!expect(status->changes() > 0, "the status tells of changes")) return 1;
  wrackline::proto::ListCall people;
  people.set_kind(2);
  const auto list = records->list(people);
  if (!expect(list && list->records_size() > 0, "there is somebody")) return 1;
  wrackline::proto::LogCall nothing;
  nothing.add_records()->set_kind(2);
  if (!expect(!records->log(nothing), "nobody is signed in, so nothing is logged")) return 1;
  records->as(list->records(0).record());
  wrackline::proto::StrikeCall strike;
  *strike.mutable_record() = list->records(0).record();
  const auto struck = records->strike(strike);
  if (!expect(!struck && struck.failure().code() == 21, "a strike without a reason is refused")) return 1;
  as_the_header_says(device);
  return confirms(*records) && serves_two_threads(*records) && pins(*records) ? 0 : 1;
}
