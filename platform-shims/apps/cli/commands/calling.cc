// wrack call: the one call as it is, for programs that have no library of ours: messages in, messages out.
#include <fstream>
#include <iostream>

#include "cli/command.h"

namespace wrackline::cli {
namespace {

constexpr std::size_t kCallBytesMax = 512u << 20;  // The core takes no larger call.

struct CallArgs {
  std::string file;  // Empty: standard input.
};

// 4 bytes of size, lowest first, and the message. None at the end.
std::optional<Bytes> read_call(std::istream& in, std::uint64_t answered) {
  const std::string so_far = std::to_string(answered) + " before it were answered, and what they wrote is kept";
  Bytes head(4, '\0');
  in.read(head.data(), 4);
  if (in.gcount() == 0 && in.eof()) return {};
  const std::size_t size = load_le(head);
  if (in && size > kCallBytesMax)
    throw usage("a call of " + std::to_string(size) + " bytes is none; " + so_far + "; see `wrack call --help`");
  Bytes call(in ? size : 0, '\0');
  in.read(call.data(), static_cast<std::streamsize>(call.size()));
  if (!in) throw usage("the calls end in the middle of one; " + so_far);
  return call;
}

Exit answer(Client& client, const CallArgs& args) {
  if (client.json()) throw usage("`wrack call` writes messages, not JSON; leave --json out");
  std::ifstream file;
  if (!args.file.empty()) {
    file.open(args.file, std::ios::binary);
    if (!file) throw Stop{Exit::kNotFound, "cannot read the calls in " + args.file + "; nothing was called", "not_found"};
  }
  std::istream& in = args.file.empty() ? std::cin : file;
  for (std::uint64_t answered = 0; const auto call = read_call(in, answered); ++answered) {
    const Bytes reply = client.call_bytes(*call);
    Bytes head;
    append_le(head, reply.size(), 4);
    // At once: whoever asks over a pipe may wait for this one before it asks the next.
    if (!(std::cout << head << reply << std::flush))
      throw Stop{Exit::kFailed, "cannot write the reply; its call was answered, and what it wrote is kept", "output"};
  }
  return Exit::kOk;
}

}  // namespace

void add_call_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<CallArgs>();
  CLI::App* c = app.add_subcommand(
      "call", "For programs: answers serialised calls (proto/call.proto), each with its size before it in 4 bytes, lowest first");
  c->group("For programs");
  c->add_option("file", args->file, "The calls; without it they come from standard input, and each is answered at once");
  c->footer("The replies come the same way. A call that fails has a reply that says so; exit 0 means that each was answered.");
  runs(c, chosen, args, answer);
}

}  // namespace wrackline::cli
