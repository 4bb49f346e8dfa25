#include "simulation/site.h"

#include "crypto/sha256.h"
#include "store/backup.h"
#include "store/store.h"

namespace wrackline {
namespace {

ChangeKey key_over(LogId root, Seq seq, ByteView bytes) {
  Bytes head;
  append_le(head, root.value, 8);
  append_le(head, seq, 4);
  return first8(sha256(head, bytes));
}

}  // namespace

Site::Site(std::string its_name, std::shared_ptr<SeededKeystore> its_key, Random its_random, bool fenced)
    : name(std::move(its_name)), disk(name), keystore(std::move(its_key)), random(its_random), is_fenced(fenced) {}

Replica::Options Site::options() {
  Replica::Options out;
  out.path = disk.path("records.db");
  out.keystore = keystore.get();
  out.wall_clock = [this] { return clock; };
  out.fence = is_fenced ? &fence : nullptr;
  out.random = [this](std::size_t count) { return Result<Bytes>(random.bytes(count)); };
  return out;
}

Status Site::open() {
  WRACKLINE_TRY(open_alone());
  if (shared) replica->follow(*shared);
  return {};
}

Status Site::open_alone() {
  if (next_keystore) {
    WRACKLINE_TRY_VALUE(key, Replica::key_of(disk.path("records.db")));
    if (key == next_keystore->public_key()) end_key_change();
  }
  WRACKLINE_TRY_VALUE(opened, Replica::open(options()));
  replica = std::move(opened);
  return {};
}

void Site::end_key_change() {
  former_keystores.push_back(std::exchange(keystore, std::exchange(next_keystore, nullptr)));
  backup.reset();
}

ChangeKey Site::key_of(ChangeId change) {
  LogTable& logs = replica->store().logs();
  const LogEntry* log = logs.find(change.log);
  const ByteView bytes = need(logs.bytes_of(logs.find_place(change)), name + " reads what it acknowledged");
  expect(log != nullptr && !bytes.empty(), name + ": acknowledged change " + to_text(change) + " is not there");
  return key_over(log->sealed_as(), change.seq, bytes);
}

std::set<ChangeKey> Site::held() {
  Calm calm(*this);
  std::set<ChangeKey> out;
  Store& store = replica->store();
  need(store.refresh(), name + " is looked at");
  for (const auto& [id, log] : store.logs().all()) {
    const LogId root = log.sealed_as();
    need(store.logs().for_each(log, 0, [&](Seq seq, ByteView bytes) -> Status {
      out.insert(key_over(root, seq, bytes));
      return {};
    }), name + " is looked at");
  }
  return out;
}

VirtualDisk::Copy Site::copy() {
  Calm calm(*this);
  const std::string path = disk.path("copy.db");
  need(copy_records(disk.path("records.db"), path, {}), name + " is backed up");
  VirtualDisk::Copy out{{"records.db", disk.copy().at("copy.db")}};
  for (const char* end : {"", "-wal", "-journal"}) disk.remove(path + end, true);
  return out;
}

}  // namespace wrackline
