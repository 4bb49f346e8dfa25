// A text as a QR picture (ISO/IEC 18004), for a tablet's camera: in a terminal, or as a file.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"

namespace wrackline {

struct QrPicture {
  int width = 0;                     // Modules on a side, without the quiet zone.
  std::vector<unsigned char> dark;   // Row by row, 1 = dark.
  bool is_dark(int x, int y) const;  // False outside.
};

// With error correction M: a scratched screen or a wet print of 15 % is still read. Errors: kTooLarge.
Result<QrPicture> qr_of(const std::string& text);

// Two rows of modules a line, by half blocks (U+2580, U+2584, U+2588), with the quiet zone of 4 modules.
// Light modules are drawn and dark ones left out, which is right on the usual light-on-dark terminal;
// `inverted` is for a dark-on-light one.
std::string qr_for_terminal(const QrPicture& picture, bool inverted);

// SVG, black on white, quiet zone included; scales to any size.
std::string qr_as_svg(const QrPicture& picture);

}  // namespace wrackline
