// log/seal.h: what a seal and a log's id say, byte for byte, and what covers what.
#include "log/seal.h"

#include <catch2/catch.hpp>

#include "support/hex.h"
#include "support/random.h"

using namespace wrackline;

namespace {

LogOpening some_opening() {
  LogOpening opening;
  opening.device[0] = 0xde;
  opening.log_class = LogClass::kArrivals;
  opening.area = {LogId{0x0807060504030201}, 9};
  opening.nonce[15] = 0x0e;
  return opening;
}

}  // namespace

TEST_CASE("a seal's text is purpose, facility, log, class, area, size, root and what was seen", "[seal]") {
  FacilityId facility{};
  facility[0] = 0xfa;
  facility[15] = 0x01;
  LogSeal seal;
  seal.size = 0x0a0b0c;
  seal.root[0] = 0xcc;
  seal.seen.log = LogId{0x1112131415161718};
  seal.seen.size = 2;
  seal.seen.root[31] = 0x5e;
  const Bytes text = seal_text(facility, LogId{0x0102030405060708}, some_opening(), seal);
  CHECK(to_hex(text) == to_hex("wrackline/seal/2") + "fa000000000000000000000000000001" + "0807060504030201" + "05" +
                            "0102030405060708" + "09000000" + "0c0b0a0000000000" + "cc" + std::string(62, '0') +
                            "1817161514131211" + "0200000000000000" + std::string(62, '0') + "5e");
}

TEST_CASE("a log's id follows from everything in its opening and from the facility", "[seal]") {
  const FacilityId facility{};
  const LogId id = log_id(facility, some_opening());
  FacilityId other{};
  other[1] = 1;
  CHECK(log_id(other, some_opening()) != id);
  const Bytes bytes = to_bytes(some_opening());
  CHECK(id.value == first8(sha256("wrackline/log/2", view(facility), bytes)));
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    Bytes altered = bytes;
    altered[i] = static_cast<char>(altered[i] ^ 1);
    const auto opening = read_opening(altered);
    REQUIRE(opening);
    CHECK(to_bytes(*opening) == altered);
    CHECK(log_id(facility, *opening) != id);
  }
  CHECK_FALSE(read_opening(bytes + "x"));
  CHECK_FALSE(read_opening(ByteView(bytes).substr(1)));
}

TEST_CASE("a seal is read as it was written, and what is cut short is none", "[seal]") {
  Random random = test_random("seals");
  LogSeal seal;
  seal.size = 900;
  seal.seen = {LogId{5}, 7, sha256("seen")};
  seal.root = sha256("root");
  for (unsigned char& byte : seal.signature) byte = static_cast<unsigned char>(random.next());
  seal.steps = {{800, sha256("a"), {sha256("b"), sha256("c")}}, {900, sha256("root"), {}}};
  const Bytes bytes = to_bytes(seal);
  const auto read = read_seal(bytes);
  REQUIRE(read);
  CHECK(to_bytes(*read) == bytes);
  for (std::size_t size = 0; size < bytes.size(); ++size) {
    const auto cut = read_seal(ByteView(bytes).substr(0, size));
    CHECK((!cut || cut->steps.size() < seal.steps.size()));
  }
  seal.steps.resize(kSealStepsMax + 1);
  CHECK_FALSE(read_seal(to_bytes(seal)));
}

TEST_CASE("a seal covers its tree, and by steps the beginnings that they lead on from", "[seal]") {
  std::vector<Hash> leaves;
  for (int i = 0; i < 50; ++i) leaves.push_back(tree_leaf(std::to_string(i)));
  const auto tree_of = [&](std::size_t size) {
    Frontier tree;
    for (std::size_t i = 0; i < size; ++i) tree.append(leaves[i]);
    return tree;
  };
  const SubtreeRoot subtree = [&](std::uint64_t first, std::uint64_t count) -> Result<Hash> {
    Frontier tree;
    for (std::uint64_t i = 0; i < count; ++i) tree.append(leaves[static_cast<std::size_t>(first + i)]);
    return tree.root();
  };
  LogSeal seal;
  seal.size = 50;
  seal.root = tree_of(50).root();
  CHECK(covers(seal, tree_of(50)));
  CHECK_FALSE(covers(seal, tree_of(49)));
  seal.steps = {{33, tree_of(33).root(), *consistency_path(20, 33, subtree)}, {50, seal.root, *consistency_path(33, 50, subtree)}};
  CHECK(covers(seal, tree_of(20)));
  CHECK_FALSE(covers(seal, tree_of(21)));
  CHECK_FALSE(covers(seal, tree_of(33)));
  std::swap(seal.steps[0], seal.steps[1]);
  CHECK_FALSE(covers(seal, tree_of(20)));
}
