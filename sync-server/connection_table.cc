#include "connection_table.h"

#include <vector>

#include "connection.h"

namespace wrackline {

std::optional<ConnectionTable::Ticket> ConnectionTable::enter(const std::string& peer_group) {
  const auto known = open_by_group_.find(peer_group);
  // One that gives way has its place for as long as it takes to go, so there may be some more for a moment.
  if (known != open_by_group_.end() && known->second >= limits_.connections_per_address_max) {
    if (!make_room(peer_group)) return std::nullopt;
  } else if (open_ >= limits_.connections_max && !make_room({})) {
    return std::nullopt;
  }
  ++open_by_group_[peer_group];
  ++open_;
  return Ticket(*this, peer_group);
}

bool ConnectionTable::make_room(const std::string& peer_group) {
  std::vector<Connection*> candidates;
  for (Connection* connection : connections_) {
    if (connection->can_give_way() && (peer_group.empty() || connection->peer_group() == peer_group)) candidates.push_back(connection);
  }
  if (candidates.empty()) return false;
  candidates[std::uniform_int_distribution<std::size_t>(0, candidates.size() - 1)(lots_)]->give_way();
  return true;
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
