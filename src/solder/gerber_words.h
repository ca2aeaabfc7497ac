// gerber_words.h: a Gerber file cut into its words. Used by the Gerber reader only.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace handlot::solder::gerber {

/// One command, or all words between two percent signs.
struct Block {
  std::vector<std::string> words;
  std::vector<int> lines;
  bool extended = false;
};

struct Words {
  std::vector<Block> blocks;
  std::optional<int> unclosed;  ///< line where a word or block was never closed
};

Words words_of(std::string_view text);

}  // namespace handlot::solder::gerber
