// How the hub reads the head of a request, without sockets: the parser as it is set up for a peer nobody has looked at yet, and
// which heads are refused before anybody looks who asks.
#pragma once

#include <boost/beast/core/error.hpp>
#include <boost/beast/http/parser.hpp>
#include <boost/beast/http/string_body.hpp>
#include <optional>
#include <string>

#include "base/error.h"
#include "head_buffer.h"
#include "hub.h"
#include "peer_limits.h"

namespace wrackline {

using RequestParser = boost::beast::http::request_parser<boost::beast::http::string_body>;

// For a head only: how long the body may be is known once it is known who asks.
void prepare(RequestParser& parser, const PeerLimits& limits);

struct BrokenHead {
  unsigned status;
  Error error;
};
// `read` is what reading the head ended with. None when the head is good, and when the peer or the network ended it.
std::optional<BrokenHead> find_broken_head(const boost::beast::error_code& read, const RequestParser& parser, const HeadBuffer& buffer);

HubRequestHead head_of(const RequestParser& parser, const std::string& peer_group);

}  // namespace wrackline
