// wrack sign-in, sign-out, set-pin: who is at this device.
//
// A PIN is asked for on the terminal without showing it, or read from the first line of standard input; never from
// the command line, where every process could read it.
#include <unistd.h>

#include <iostream>

#include <proving.pb.h>

#include "command.h"
#include "hidden_typing.h"
#include "hub.h"

namespace wrackline::cli {
namespace {

struct SignInArgs {
  std::string name;
  bool from_stdin = false;
};
struct SetPinArgs {
  std::string name;
  std::string reason;
  bool none = false;
  bool from_stdin = false;
};
struct NoArgs {};

std::string read_pin(const std::string& question, bool from_stdin) {
  std::string pin;
  if (from_stdin) {
    std::getline(std::cin, pin);
    return pin;
  }
  if (!isatty(STDIN_FILENO))
    throw usage("a PIN is typed on a terminal; for programs there is --pin-stdin, which reads a line");
  std::cerr << question << ": " << std::flush;
  {
    const HiddenTyping hidden;
    std::getline(std::cin, pin);
  }
  std::cerr << "\n";
  return pin;
}

// What the hub knows of who is here, where the facility asks for that. Nobody is held up when it cannot be asked.
struct Proof {
  WallMs until = 0;
  std::string why_not;
};

Proof prove(Client& client, const RecordRef& person, const std::string& pin) {
  proto::PresenceRequest request;
  *request.mutable_person() = person;
  request.set_pin(pin);
  proto::PresenceReply reply;
  try {
    Hub hub(client);
    if (!reply.ParseFromString(hub.post("/v1/presence", request.SerializeAsString()))) return {0, "the hub's answer cannot be read"};
  } catch (const Stop& stop) {
    return {0, stop.message};
  }
  return {reply.until_ms(), ""};
}

void tell_signed_in(Client& client, const SignInReply& reply, const Proof& proof) {
  if (client.json()) {
    Json json;
    json.object().member("signed_in", reply.name()).member("until", client.zone().print_exact(reply.ends_ms()));
    json.member("proof_required", reply.proof_required()).key("proven_until");
    proof.until != 0 ? json.text(client.zone().print_exact(proof.until)) : json.null();
    json.member("why_not_proven", proof.why_not);
    print(json.end());
    return;
  }
  print(reply.name() + " is signed in until " + client.zone().print(reply.ends_ms()) +
        ", and longer with each entry; then the PIN is asked for again\n");
  if (!reply.proof_required()) return;
  print(proof.until != 0 ? "the hub knows so until " + client.zone().print(proof.until) + "\n"
                         : "the hub does not know so (" + proof.why_not + "); meals, doses and observations count all the same; "
                           "plans, orders and whatever else is more than care is held for an officer until `wrack sign-in` reaches the hub\n");
}

Exit sign_in(Client& client, const SignInArgs& args) {
  Names names(client);
  Call call;
  SignInCall& sign_in = *call.mutable_sign_in();
  *sign_in.mutable_person() = names.find("person", args.name);
  const std::string pin = read_pin("PIN of " + args.name, args.from_stdin);
  sign_in.set_pin(pin);
  sign_in.set_instead_of(client.session());
  const SignInReply reply = client.call(call).sign_in();
  client.keep_session(reply.token());
  tell_signed_in(client, reply, reply.proof_required() ? prove(client, sign_in.person(), pin) : Proof());
  return Exit::kOk;
}

Exit sign_out(Client& client, const NoArgs&) {
  Call call;
  call.mutable_sign_out()->set_token(client.session());
  client.call(call);
  client.keep_session("");
  print(client.json() ? "{\"signed_in\": null}\n" : "nobody is signed in\n");
  return Exit::kOk;
}

Exit set_pin(Client& client, const SetPinArgs& args) {
  Names names(client);
  Call call = client.authored();
  SetPinCall& set = *call.mutable_set_pin();
  *set.mutable_person() = args.name.empty() ? call.author() : names.find("person", args.name);
  set.set_reason(args.reason);
  const std::string whose = names.name_of(set.person());
  if (!args.none) {
    set.set_pin(read_pin("new PIN of " + whose, args.from_stdin));
    if (set.pin().empty()) throw usage("no PIN was typed; nothing was changed; `--none` takes a PIN away");
    if (!args.from_stdin && read_pin("and once more", false) != set.pin())
      throw usage("the two are not the same; nothing was changed");
  }
  const RecordRef change = client.write_edit(call);
  if (client.json()) return tell_edited(client, names, set.person(), change, args.none ? "PIN taken away" : "PIN set");
  print(args.none ? whose + " has no PIN any more: anybody at this device can write as " + whose + "\n"
                  : whose + " has a new PIN, on other devices after their next exchange; sessions with the old one have ended\n");
  return Exit::kOk;
}

}  // namespace

void add_signing_in_commands(CLI::App& app, Action& chosen) {
  const auto add = [&](const char* name, const char* help) {
    CLI::App* c = app.add_subcommand(name, help);
    c->group("Keeper");
    return c;
  };
  auto in = std::make_shared<SignInArgs>();
  CLI::App* c = add("sign-in", "Be the one who writes here, until this device locks; hands over from who was");
  c->add_option("person", in->name, "Who")->required();
  c->add_flag("--pin-stdin", in->from_stdin, "Read the PIN from a line of standard input");
  runs(c, chosen, in, sign_in);

  runs(add("sign-out", "Lock this device"), chosen, std::make_shared<NoArgs>(), sign_out);

  auto pin = std::make_shared<SetPinArgs>();
  c = add("set-pin", "Choose the PIN you sign in with; an admin may give or take away another's");
  c->add_option("person", pin->name, "Whose, for an admin");
  c->add_option("--reason", pin->reason, "Why; stands in the trail");
  c->add_flag("--none", pin->none, "Take the PIN away");
  c->add_flag("--pin-stdin", pin->from_stdin, "Read the PIN from a line of standard input");
  runs(c, chosen, pin, set_pin);
}

}  // namespace wrackline::cli
