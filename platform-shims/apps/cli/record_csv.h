// Records of one kind as rows of a table, exactly: what is written can be read back and means the same.
//
// The columns are "id" and the fields by their names in proto/records.proto. Numbers are written with their
// unit ("1.2 kg"), times with their offset, references as full ids, with a column "animal_name" beside
// "animal" for people; of an area the name stands under "area" and the id under "in_area". "id" is for people too: a row that is imported becomes a new record.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "cli/client.h"
#include "cli/names.h"
#include "text/message_schema.h"

namespace wrackline::cli {

struct CsvColumn {
  std::string title;
  const FieldDescriptor* field;  // Null for "id".
  bool is_name = false;          // "animal_name"; `field` is then the reference.
};

std::vector<CsvColumn> csv_columns(const KindInfo& kind);

// Says what may stand in the column, for `wrack import KIND --columns`.
std::string column_help(const CsvColumn& column);

// A cell's text, not yet quoted for CSV. Built-in fields and those of a newer release have no column.
std::string csv_value(const CsvColumn& column, const RecordView& view,
                      const google::protobuf::Message& message, Client& client, Names& names);

// Sets a field from its cell. Cells must be put in the order of put_order(). Throws Stop.
void put_csv_value(google::protobuf::Message& message, const CsvColumn& column, const std::string& cell,
                   Client& client, Names& names);
int put_order(const CsvColumn& column);

// After the last cell: the day of an event that came with its time only.
void complete_row(google::protobuf::Message& message);

}  // namespace wrackline::cli
