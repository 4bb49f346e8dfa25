#include "qr_picture.h"

#include "hosts/freer.h"

#include <qrencode.h>

#include <memory>

namespace wrackline {
namespace {

constexpr int kQuietModules = 4;

}  // namespace

bool QrPicture::is_dark(int x, int y) const {
  return x >= 0 && y >= 0 && x < width && y < width && dark[static_cast<std::size_t>(y * width + x)] != 0;
}

Result<QrPicture> qr_of(const std::string& text) {
  // Case stays as it is; the library itself finds that capitals and digits fit the dense mode.
  const std::unique_ptr<QRcode, Freer<QRcode_free>> code(QRcode_encodeString(text.c_str(), 0, QR_ECLEVEL_M, QR_MODE_8, 1));
  if (!code) return fail(ErrorCode::kTooLarge, "making a QR picture: the text is too long for one");
  QrPicture picture;
  picture.width = code->width;
  const std::size_t modules = static_cast<std::size_t>(code->width) * static_cast<std::size_t>(code->width);
  picture.dark.reserve(modules);
  for (std::size_t i = 0; i < modules; ++i) picture.dark.push_back(code->data[i] & 1);
  return picture;
}

std::string qr_for_terminal(const QrPicture& picture, bool inverted) {
  static constexpr const char* kHalves[] = {" ", "\u2580", "\u2584", "\u2588"};  // None, upper, lower, both.
  std::string out;
  for (int y = -kQuietModules; y < picture.width + kQuietModules; y += 2) {
    for (int x = -kQuietModules; x < picture.width + kQuietModules; ++x) {
      const bool upper = picture.is_dark(x, y) == inverted;
      const bool lower = picture.is_dark(x, y + 1) == inverted;
      out += kHalves[(upper ? 1 : 0) + (lower ? 2 : 0)];
    }
    out += '\n';
  }
  return out;
}

std::string qr_as_svg(const QrPicture& picture) {
  const std::string side = std::to_string(picture.width + 2 * kQuietModules);
  std::string path;
  for (int y = 0; y < picture.width; ++y) {
    for (int x = 0; x < picture.width; ++x) {
      if (picture.is_dark(x, y))
        path +=
            'M' + std::to_string(x + kQuietModules) + ' ' + std::to_string(y + kQuietModules) + "h1v1h-1z";
    }
  }
  return "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 " + side + ' ' + side +
         "\" shape-rendering=\"crispEdges\"><rect width=\"" + side + "\" height=\"" + side +
         "\" fill=\"#fff\"/><path fill=\"#000\" d=\"" + path + "\"/></svg>\n";
}

}  // namespace wrackline
