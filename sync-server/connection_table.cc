#include "connection_table.h"

#include <vector>

#include "connection.h"

namespace wrackline {

std::optional<ConnectionTable::Ticket> ConnectionTable::enter(const std::string& peer_group) {
  if (open_ >= limits_.connections_max) return std::nullopt;
  std::size_t& of_group = open_by_group_[peer_group];
  if (of_group >= limits_.connections_per_address_max) return std::nullopt;
  ++of_group;
  ++open_;
  return Ticket(*this, peer_group);
}

ConnectionTable::Ticket::~Ticket() {
  if (table_ == nullptr) return;
  --table_->open_;
  const auto found = table_->open_by_group_.find(group_);
  if (--found->second == 0) table_->open_by_group_.erase(found);
  if (table_->open_ == 0 && table_->on_empty_) table_->on_empty_();
}

void ConnectionTable::stop_all() {
  // A connection may leave the table while it is told.
  const std::vector<Connection*> all(connections_.begin(), connections_.end());
  for (Connection* connection : all) connection->stop();
}

}  // namespace wrackline
