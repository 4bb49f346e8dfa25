#include "request_head.h"

#include <boost/beast/http/error.hpp>
#include <boost/beast/http/field.hpp>
#include <boost/optional/optional.hpp>
#include <string_view>

namespace wrackline {
namespace {

// The peer's bytes are at fault, and not that they ended.
bool is_parse_error(const boost::beast::error_code& error) {
  namespace http = boost::beast::http;
  return error.category() == http::make_error_code(http::error::bad_method).category() &&
         error != http::error::end_of_stream && error != http::error::partial_message;
}

// Heads that two readers might take for different requests (RFC 9112, 3.2 and 6.1): none or two hosts, a
// transfer coding we do not know, or one in a version that has none.
bool is_ambiguous(const RequestParser& parser) {
  namespace http = boost::beast::http;
  const auto& request = parser.get();
  if (request.version() == 11 && request.count(http::field::host) != 1) return true;
  const bool has_coding = request.count(http::field::transfer_encoding) > 0;
  return has_coding && (!parser.chunked() || request.version() != 11);
}

std::string beast_text(boost::beast::string_view text) { return {text.data(), text.size()}; }

}  // namespace

void prepare(RequestParser& parser, const PeerLimits& limits) {
  parser.header_limit(limits.header_bytes_max);
  parser.body_limit(boost::none);
}

std::optional<BrokenHead> find_broken_head(const boost::beast::error_code& read, const RequestParser& parser, const HeadBuffer& buffer) {
  if (read == boost::beast::http::error::header_limit)
    return BrokenHead{431, {ErrorCode::kTooLarge, "reading a request: its header is over 16 KiB"}};
  if (is_parse_error(read)) return BrokenHead{400, {ErrorCode::kMalformed, "reading a request: it is no HTTP"}};
  if (!read && (is_ambiguous(parser) || buffer.has_folded_line())) {
    return BrokenHead{400,
                      {ErrorCode::kMalformed,
                       "reading a request: its head names no host, or more than one, or a transfer coding that is "
                       "not known here, or has a folded line"}};
  }
  return std::nullopt;
}

HubRequestHead head_of(const RequestParser& parser, const std::string& peer_group) {
  namespace http = boost::beast::http;
  const auto& request = parser.get();
  HubRequestHead head;
  head.method = beast_text(request.method_string());
  head.path = beast_text(request.target());
  head.path = head.path.substr(0, head.path.find('?'));
  head.content_type = beast_text(request[http::field::content_type]);
  head.authorization = beast_text(request[http::field::authorization]);
  head.peer_group = peer_group;
  head.date = beast_text(request[http::field::date]);
  head.range = beast_text(request[head.method == "PUT" ? http::field::content_range : http::field::range]);
  return head;
}

}  // namespace wrackline
