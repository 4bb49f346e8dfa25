// wrack sign-in, sign-out, set-pin, pin-code: who is at this device.
#include <proving.pb.h>

#include "cli/act_at_hub.h"
#include "cli/command.h"
#include "cli/commands/hub_exchange.h"
#include "cli/commands/typed_pin.h"
#include "cli/hub_access.h"

namespace wrackline::cli {
namespace {

struct SignInArgs {
  std::string name;
};
struct SetPinArgs {
  std::string name;
};
struct PinCodeArgs {
  std::string name;
};
struct SignOutArgs {
  bool at_hub = false;
};

// Until when the hub knows who is here, or why it does not.
struct Proof {
  WallMs until = 0;
  std::string why_not;
};

// Throws Stop when the hub cannot be reached, or it is not the PIN.
Proof prove(Client& client, const RecordRef& person, const std::string& pin) {
  Call call;
  *call.mutable_prove()->mutable_person() = person;
  call.mutable_prove()->set_pin(pin);
  const Bytes request = client.call(call).prove().request();
  Hub hub(client);
  PresenceReply reply;
  if (!reply.ParseFromString(hub.post("/v1/presence", request))) return {0, "the hub's answer cannot be read"};
  exchange_with(client, hub, [](const ExchangeStep&) {});  // This device knows the PIN by the record that the hub has made.
  client.refresh();
  return {reply.until_ms(), ""};
}

// Nobody is held up when the hub cannot be asked.
Proof prove_if_reached(Client& client, const RecordRef& person, const std::string& pin) {
  try {
    return prove(client, person, pin);
  } catch (const Stop& stop) {
    return {0, stop.message};
  }
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
  const std::string pin = read_pin(client.options(), "PIN of " + args.name);
  sign_in.set_pin(pin);
  sign_in.set_instead_of(client.session());
  Proof proof;
  Reply first;
  first.ParseFromString(client.call_bytes(call.SerializeAsString()));
  if (first.failure().code() == static_cast<std::uint32_t>(ErrorCode::kNotFound)) {
    try {
      proof = prove(client, sign_in.person(), pin);
    } catch (const Stop& stop) {
      if (stop.exit != Exit::kNetwork) throw;
      throw Stop{stop.exit, first.failure().message() + " (" + stop.message + ")", stop.word};
    }
    first.ParseFromString(client.call_bytes(call.SerializeAsString()));
  }
  const SignInReply reply = Client::reply_of(first.SerializeAsString()).sign_in();
  client.keep_session(reply.token());
  if (reply.prove()) proof = prove_if_reached(client, sign_in.person(), pin);
  if (proof.until == 0 && proof.why_not.empty()) proof.until = reply.proven_until_ms();
  tell_signed_in(client, reply, proof);
  return Exit::kOk;
}

Exit sign_out(Client& client, const SignOutArgs& args) {
  Call call;
  call.mutable_sign_out()->set_token(client.session());
  client.call(call);
  client.keep_session("");
  if (args.at_hub) Hub(client).post("/v1/sign-out", {});
  print(client.json() ? "{\"signed_in\": null}\n" : "nobody is signed in\n");
  return Exit::kOk;
}

Exit set_pin(Client& client, const SetPinArgs& args) {
  Names names(client);
  ChoosePinRequest request;
  *request.mutable_person() = args.name.empty() ? client.author() : names.find("person", args.name);
  const std::string whose = names.name_of(request.person());
  request.set_secret(read_pin(client.options(), "PIN of " + whose + " so far, or the one-time code an admin gave"));
  request.set_new_pin(read_pin(client.options(), "new PIN"));
  if (request.secret().empty() || request.new_pin().empty()) throw usage("nothing was typed; the PIN is as it was");
  if (!client.options().pin_stdin && read_pin(client.options(), "and once more") != request.new_pin())
    throw usage("the two are not the same; the PIN is as it was");
  Hub hub(client);
  hub.post("/v1/pin", request.SerializeAsString());
  exchange_with(client, hub, [](const ExchangeStep&) {});
  if (client.json())
    print(Json().object().member("pin_of", whose).end());
  else
    print(whose + " has a new PIN; sessions with the old one have ended, on each device after its next exchange. Sign in with `wrack sign-in`\n");
  return Exit::kOk;
}

Exit give_pin_code(Client& client, const PinCodeArgs& args) {
  Names names(client);
  const ActReply reply = AtHub(client).give_pin_code(client.author(), names.find("person", args.name));
  if (client.json())
    print(Json().object().member("pin_code", reply.pin_code()).member("until", client.zone().print_exact(reply.expires_ms())).end());
  else
    print(reply.pin_code() + "\nWith it " + args.name + " chooses a PIN on any device, until " + client.zone().print(reply.expires_ms()) +
          ": wrack set-pin. It is shown only here; tell it to nobody else\n");
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
  runs(c, chosen, in, sign_in);

  auto out = std::make_shared<SignOutArgs>();
  c = add("sign-out", "Lock this device");
  c->add_flag("--at-hub", out->at_hub, "End what this device has open with the hub, too");
  runs(c, chosen, out, sign_out);

  auto pin = std::make_shared<SetPinArgs>();
  c = add("set-pin", "Choose the PIN you sign in with: with the one so far, or the one-time code an admin gave");
  c->add_option("person", pin->name, "Who; absent: who is signed in, or --as");
  runs(c, chosen, pin, set_pin);

  auto code = std::make_shared<PinCodeArgs>();
  c = add("pin-code", "Give somebody a one-time code to choose a PIN with; for admins");
  c->add_option("person", code->name, "For whom")->required();
  runs(c, chosen, code, give_pin_code);
}

}  // namespace wrackline::cli
