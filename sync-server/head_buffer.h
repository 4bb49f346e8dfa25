// This file says what a connection reads into: a flat buffer that looks at the bytes of a request's head as they are taken
// out.
//
// A line that begins with a blank goes on from the field before it (obs-fold; RFC 9112, 5.2), and the parser
// joins the two. Two readers may take such a head differently, so the hub refuses it; only the bytes
// themselves still tell.
#pragma once

#include <boost/beast/core/flat_buffer.hpp>
#include <cstddef>

namespace wrackline {

class HeadBuffer : public boost::beast::flat_buffer {
 public:
  void begin_head() {
    is_folded_ = false;
    before_ = 0;
  }
  // Since begin_head(). Ask it when the head has been read and nothing of the body.
  bool has_folded_line() const { return is_folded_; }

  // Hides that of the buffer; the parser calls this one, since it knows the type.
  void consume(std::size_t count) {
    const char* bytes = static_cast<const char*>(data().data());
    for (std::size_t i = 0; i < count && i < size(); ++i) {
      is_folded_ = is_folded_ || (before_ == '\n' && (bytes[i] == ' ' || bytes[i] == '\t'));
      before_ = bytes[i];
    }
    boost::beast::flat_buffer::consume(count);
  }

 private:
  bool is_folded_ = false;
  char before_ = 0;
};

}  // namespace wrackline
