#include "text/message_schema.h"

#include <google/protobuf/descriptor.pb.h>
#include <google/protobuf/dynamic_message.h>

#include <cctype>
#include <cstdlib>

#include "model/kinds.h"
#include "text/exit_code.h"

namespace wrackline::text {

extern const char kDescriptors[];
extern const unsigned long kDescriptorsSize;

namespace {

// Own pool: the generated classes are of the lite runtime and register no descriptors.
class Pool {
 public:
  Pool() {
    google::protobuf::FileDescriptorSet files;
    // Built in at compile time; if they do not parse, the program was built wrong.
    if (!files.ParseFromArray(kDescriptors, static_cast<int>(kDescriptorsSize))) std::abort();
    for (const auto& file : files.file())
      if (!pool_.BuildFile(file)) std::abort();
  }
  const Descriptor* message(const std::string& name) const {
    return pool_.FindMessageTypeByName("wrackline.proto." + name);
  }
  google::protobuf::Message* make(const Descriptor* d) { return factory_.GetPrototype(d)->New(); }

 private:
  google::protobuf::DescriptorPool pool_;
  google::protobuf::DynamicMessageFactory factory_{&pool_};
};

Pool& pool() {
  static Pool instance;
  return instance;
}

// "treatment_order" -> "TreatmentOrder"
std::string message_name(std::string_view kind) {
  std::string out;
  bool upper = true;
  for (char c : kind) {
    if (c == '_') {
      upper = true;
      continue;
    }
    out.push_back(upper ? static_cast<char>(std::toupper(static_cast<unsigned char>(c))) : c);
    upper = false;
  }
  return out;
}

}  // namespace

const std::vector<KindInfo>& kinds() {
  static const std::vector<KindInfo> table = [] {
    std::vector<KindInfo> out;
    for (const KindRow& row : all_kinds())
      out.push_back({static_cast<std::uint32_t>(row.kind), std::string(row.name),
                     pool().message(message_name(row.name))});
    return out;
  }();
  return table;
}

const KindInfo* find_kind_info(std::uint32_t number) {
  for (const KindInfo& k : kinds())
    if (k.number == number) return &k;
  return nullptr;
}

std::uint32_t kind_number(std::string_view name) {
  for (const KindInfo& k : kinds())
    if (k.name == name) return k.number;
  std::abort();
}

const KindInfo& kind_typed(std::string_view text) {
  std::string name;
  for (char c : text)
    name.push_back(c == '-' ? '_' : static_cast<char>(std::tolower(static_cast<unsigned char>(c))));
  if (name == "people") name = "person";
  if (name == "order" || name == "orders") name = "treatment_order";
  if (name == "plan" || name == "plans") name = "diet_plan";
  if (name == "dose" || name == "doses") name = "administration";
  if (name == "batch" || name == "batches" || name == "thaw_batches") name = "thaw_batch";
  std::string list;
  for (const KindInfo& k : kinds()) {
    if (k.descriptor && (k.name == name || k.name + "s" == name)) return k;
    list += (list.empty() ? "" : ", ") + k.name;
  }
  if (name == "facilities") return *find_kind_info(kind_number("facility"));
  throw usage("there is no kind of record called \"" + std::string(text) + "\"; there are " + list);
}

std::string kind_name(std::uint32_t number) {
  const KindInfo* kind = find_kind_info(number);
  return kind ? kind->name : "kind " + std::to_string(number);
}

MessagePtr parse_fields(std::uint32_t kind, ByteView fields) {
  const KindInfo* info = find_kind_info(kind);
  if (!info || !info->descriptor) return nullptr;
  MessagePtr message = blank(*info);
  if (!message->ParseFromArray(fields.data(), static_cast<int>(fields.size()))) return nullptr;
  return message;
}

MessagePtr blank(const KindInfo& kind) { return MessagePtr(pool().make(kind.descriptor)); }

bool is_built_in(const FieldDescriptor& field) {
  return is_built_in(static_cast<std::uint32_t>(field.number())) || is_of_hub(field) || is_signed(field);
}

const FieldSchema& says_of(const FieldDescriptor& field) {
  static const FieldSchema kNothing{};
  const FieldSchema* row = find_field(field.containing_type()->name(), field.name());
  return row ? *row : kNothing;
}

bool is_signed(const FieldDescriptor& field) { return says_of(field).writer == FieldWriter::kCore; }
bool is_of_hub(const FieldDescriptor& field) { return says_of(field).writer == FieldWriter::kHub; }

Unit unit_of(const FieldDescriptor& field) { return says_of(field).unit; }

std::string bare_name(const FieldDescriptor& field) {
  const std::string_view bare = says_of(field).bare_name;
  return bare.empty() ? field.name() : std::string(bare);
}

const FieldDescriptor* successor(const FieldDescriptor& field) {
  const std::string_view instead = says_of(field).instead;
  return instead.empty() ? nullptr : field.containing_type()->FindFieldByName(std::string(instead));
}

const char* referred_kind(const FieldDescriptor& field) {
  if (!field.message_type() || field.message_type()->name() != "RecordRef") return nullptr;
  const std::string_view to = says_of(field).to;
  for (const KindRow& row : all_kinds())
    if (row.name == to && row.called.empty()) return "";  // Found by its id alone.
  return to.empty() ? "" : to.data();
}

const char* subject_kind(const KindInfo& kind) {
  const KindRow* row = find_kind(kind.number);
  const FieldDescriptor* subject =
      row && kind.descriptor ? kind.descriptor->FindFieldByNumber(static_cast<int>(row->key.subject)) : nullptr;
  const char* referred = subject ? referred_kind(*subject) : nullptr;
  return referred && *referred ? referred : "animal";
}

std::string field_name(std::uint32_t kind, std::uint32_t number) {
  const KindInfo* info = find_kind_info(kind);
  const FieldDescriptor* field =
      info && info->descriptor ? info->descriptor->FindFieldByNumber(static_cast<int>(number)) : nullptr;
  return field ? field->name() : "field " + std::to_string(number);
}

}  // namespace wrackline::text
