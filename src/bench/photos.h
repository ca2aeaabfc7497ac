// photos.h: what the bytes of a photo are, and a photo as a picture that a sheet can print.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "record/ledger.h"

namespace handlot::bench {

/// What the bytes are: "image/jpeg", "image/png", "image/webp", or empty. Told by their first bytes.
std::string image_type(std::string_view bytes);

struct PictureSize {
  int width = 0;
  int height = 0;  ///< pixels
};

/// As the head of a PNG or JPEG says. Empty for anything else, and for a head that breaks off.
///
/// Source  PNG: ISO/IEC 15948, IHDR. JPEG: ITU-T T.81, B.2.2, frame header. Both from memory.
std::optional<PictureSize> picture_size(std::string_view bytes);

/// SVG that holds the photo. Empty where it cannot be printed: a WebP, or damaged.
std::string photo_svg(const record::Photo& photo);

}  // namespace handlot::bench
